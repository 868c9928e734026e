//! The one test binary: each module says what belongs there.
//!
//! Leans on the library as others use it. Leaves to others: tests of private parts, which stand
//! beside them.

/// The HTTP door: routes, problem replies, limits, stopping.
#[path = "all/http.rs"]
mod http;
