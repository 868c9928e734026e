//! What to train instead: substitutes for an exercise when a region is sore, when a programme
//! goes stale, or when the kit on the floor is short, each with its reasons.
//!
//! Leans on a curated base of exercises (`kb/`), built into the library. Leaves to others: the
//! decision. Everything said here is a coach's estimate, never a diagnosis or a clearance.
//!
//! Every question is a `Request`, a `Reply` and an `answer` in a module of [`ask`]. In the Boathouse
//! the winch operator's low back is sore:
//!
//! ```
//! use stead::ask::{Engine, swap};
//!
//! let engine = Engine::shipped()?;
//! let request = swap::Request {
//!     exercise: "back squat".to_string(),
//!     sore: vec![swap::SoreAsk { region: "low back".to_string(), ..Default::default() }],
//!     gym: Some(swap::GymAsk::Named("boathouse".to_string())),
//!     ..Default::default()
//! };
//! let reply = swap::answer(&engine, &request)?;
//! let best = reply.substitutes.first().ok_or("nothing passed")?;
//! println!("{}: {}", best.name, best.reasons.join(", "));
//! assert!(best.eased.iter().all(|e| e.to < e.from));
//! // Cautions belong with the answer, wherever it is shown.
//! assert!(!reply.cautions.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! What to put on the bar for it, from a set that is known:
//!
//! ```
//! use stead::ask::{Engine, load, swap};
//!
//! let engine = Engine::shipped()?;
//! let request = load::Request {
//!     from: "back squat".to_string(),
//!     to: Some("front squat".to_string()),
//!     did: Some(load::SetAsk { load: 100.0, reps: 5, ..Default::default() }),
//!     gym: Some(swap::GymAsk::Named("boathouse".to_string())),
//!     ..Default::default()
//! };
//! let reply = load::answer(&engine, &request)?;
//! let start = reply.start.as_ref().ok_or("no load can be told")?;
//! println!("{}", start.said);
//! // Rounded down to what the plates make up, and below the lift that it comes from.
//! assert!(start.kg <= start.before_rounding_kg && start.kg < 100.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! What a week carries, from a table as a spreadsheet saves it:
//!
//! ```
//! use stead::ask::{Engine, week::audit};
//!
//! let engine = Engine::shipped()?;
//! let csv = "day,exercise,sets,reps,load\nMon,back squat,4,6,95\nTue,deadlift,4,5,120\n";
//! let request = audit::Request { csv: Some(csv.to_string()), ..Default::default() };
//! let reply = audit::answer(&engine, &request)?;
//! let week = reply.week.as_ref().ok_or("a warning sign stands in the way")?;
//! for finding in &week.findings {
//!     println!("{}: {} ({})", finding.rule, finding.words, finding.helps);
//! }
//! assert!(!week.findings.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! A question that cannot be answered is an [`ask::Error`], which names the value, the place and the
//! nearest valid choice. An emergency is no error: the reply holds what to do, and no exercise.
//!
//! ```
//! use stead::ask::{Engine, Error, swap};
//!
//! let engine = Engine::shipped()?;
//! let mut request = swap::Request {
//!     exercise: "back squat".to_string(),
//!     gym: Some(swap::GymAsk::Named("slipwya".to_string())),
//!     ..Default::default()
//! };
//! match swap::answer(&engine, &request) {
//!     Ok(_) => return Err("no gym has that name".into()),
//!     Err(error) if error.is_bad_request() => {
//!         println!("{error}");
//!         assert_eq!((error.code(), error.pointer()), ("unknown-kit", "/gym"));
//!         request.gym = error.nearest().first().map(|near| swap::GymAsk::Named(near.clone()));
//!     }
//!     Err(fault) => return Err(fault.into()),
//! }
//! assert!(swap::answer(&engine, &request)?.has_answer());
//!
//! request.exercise = "back squatch of the slipway".to_string();
//! assert!(matches!(swap::answer(&engine, &request), Err(Error::UnknownExercise { .. })));
//!
//! request.signs = vec!["chest-pain".to_string()];
//! let reply = swap::answer(&engine, &request)?;
//! println!("{}", reply.signs.first().map_or("", |sign| sign.action));
//! assert!(reply.substitutes.is_empty() && !reply.has_answer());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The layers, from the bottom: [`units`], [`mechanics`] (forces of a posture), [`kb`] (the base), [`search`] and [`gym`],
//! [`load`] (from one lift's load to another's), [`rank`] (gates, terms, order),
//! [`week`] (a week of training, ladders and variations), [`ask`] (one module a question), and the doors [`cli`],
//! [`http`] and [`mcp`], which show the same replies. `DEVELOPERS.md` has the map and the invariants.

pub mod ask;
pub mod cli;
pub mod gym;
pub mod http;
pub mod kb;
pub mod load;
pub mod mcp;
pub mod mechanics;
pub mod rank;
pub mod search;
pub mod units;
pub mod week;
