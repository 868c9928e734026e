//! What a lift asks of the low back and the large joints: planar statics with published checks.
//!
//! Leans on the standard library and on `units`. Leaves to others: which exercise has which
//! posture (the base), which number is shown (the questions), and every word of advice.
//!
//! These are population figures and teaching models. A low estimate does not mean that a lift
//! suits a person, and a high one does not mean that it harms. Compression is good to about
//! thirty per cent within a family of lifts and to a factor of two across families; shear is a
//! class of posture and never a number that is shown.
//!
//! Basis of constants, as written beside each: `seen` (the paper's own abstract, text or table
//! was read), `second hand` (a copy or another's code was read),
//! `memory` (recalled, source not opened), `practice` (common practice, no source), `derived`
//! (worked out from the others).
//!
//! # Frame and signs
//!
//! `x` points to the front, `z` up; angles are in the side view. A trunk angle counts from
//! vertical, forwards positive. A lumbar moment is positive when it bends the trunk forwards, so
//! that the back muscles must hold it.
//!
//! ```
//! use stead::mechanics::anthropometry::{Body, Sex};
//! use stead::mechanics::lumbar::{self, Settings, SpineClass};
//! use stead::mechanics::posture::{LoadPosition, Posture};
//! use stead::units::{Degree, Kg, Metre};
//!
//! let body = Body::new(Kg(80.0), Metre(1.75), Sex::Male)?;
//! let deadlift = Posture::new(
//!     Degree(65.0),
//!     Degree(125.0),
//!     LoadPosition::Hang { front: Metre(-0.05) },
//! )?;
//! let estimate = lumbar::estimate(&body, &deadlift, Kg(140.0), &Settings::default())?;
//! assert_eq!(estimate.catalogue_class(), SpineClass::VeryHigh);
//! let parts: f64 = estimate.parts().iter().map(|part| part.newtons.get()).sum();
//! assert_eq!(parts, estimate.compression().get());
//! # Ok::<(), stead::mechanics::Error>(())
//! ```

pub mod anthropometry;
pub mod dose;
mod error;
pub mod grades;
pub mod joints;
pub mod limits;
pub mod lumbar;
pub mod niosh;
pub mod posture;
pub mod published;
pub mod special;

pub use error::Error;
