//! All integration tests in one binary: each further file in `tests/` would be linked again.
//!
//! Where a new test belongs:
//! - `inputs`: what the readers say of good and damaged studies, catalogs and load profiles.

mod inputs;
