//! The simulator against measured equilibria, its own balances and a textbook.
