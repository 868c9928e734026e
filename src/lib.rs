//! What to train instead: substitutes for an exercise when a region is sore, when a programme
//! goes stale, or when the kit on the floor is short, each with its reasons.
//!
//! Leans on a curated base of exercises (`kb/`), built into the library. Leaves to others: the
//! decision. Everything said here is a coach's estimate, never a diagnosis or a clearance.
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
//! assert!(!reply.cautions.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The layers, from the bottom: [`units`], [`mechanics`] (forces of a posture), [`kb`] (the base), [`search`] and [`gym`],
//! [`load`] (from one lift's load to another's), [`rank`] (gates, terms, order),
//! [`week`] (a week of training, ladders and variations), [`ask`] (one module a question), and the two doors [`cli`] and
//! [`http`], which show the same replies. `DEVELOPERS.md` has the map and the invariants.

pub mod ask;
pub mod cli;
pub mod gym;
pub mod http;
pub mod kb;
pub mod load;
pub mod mechanics;
pub mod rank;
pub mod search;
pub mod settings;
pub mod units;
pub mod week;
