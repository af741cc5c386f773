//! Being written.
/// Being written.
#[derive(Debug, Clone, PartialEq)]
pub struct SuctionLine;
