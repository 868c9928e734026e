pub mod kb;
pub mod units;
