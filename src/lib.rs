pub mod ask;
pub mod cli;
pub mod gym;
pub mod kb;
pub mod rank;
pub mod search;
pub mod units;
