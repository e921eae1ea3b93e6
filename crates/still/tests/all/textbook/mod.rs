//! Textbook batch distillations, solved by the same column with constant overflow and next to no
//! hold-up. Each test names its source; what the model does not cover is listed here.
//!
//! Not covered: WE-11 and the minimum reflux of WE-17 (infinitely many plates; the column has a
//! finite number), and hydraulics (hold-up and pressure drop of packings by correlation: the
//! still is told both). Statements marked "seen" or "from memory" in the collection these numbers
//! come from are marked likewise here.

mod column;
mod differential;
mod harness;
mod holdup;
mod tabulated;
