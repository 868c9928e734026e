pub mod ask;
pub mod gym;
pub mod http;
pub mod kb;
pub mod rank;
pub mod search;
pub mod units;
