//! One test binary. Where a new test belongs is told beside each module.
#![expect(clippy::unwrap_used, clippy::disallowed_methods, reason = "tests read their tables and stop at the first surprise")]

mod cycles; // the duty cycle against an independent integrator
mod open_data; // measured machines (tests/data): a rig, two engines
mod published; // worked examples and tables that were published: one row of tests/published/examples.csv each
mod small_study; // no tests: a study with one candidate, in text, for tests of the whole chain
mod temperature; // cooler, steady mean and peak against an independent calculation
mod trade; // what everybody in the trade knows: common practice, no source
