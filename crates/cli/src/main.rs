//! (skeleton)
fn main() {}
