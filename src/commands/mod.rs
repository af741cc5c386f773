//! Commands.
