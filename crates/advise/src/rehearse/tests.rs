//! Whole rehearsals through the engine, and their replays.
