//! All integration tests in one binary: each further file in `tests/` would be linked again.
//!
//! Where a new test belongs stands beside each module.
#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::format_push_string,
    clippy::cast_precision_loss,
    reason = "tests read their tables, write small texts and stop at the first surprise"
)]

mod architecture; // layers, size and names of files, words, the top of the project
mod changes; // an older ranking beside that of a study changed in one known place
mod commands; // the program as a user meets it
mod cycles; // the duty cycle against an independent integrator
mod doubt; // the first picks under doubt: shares by hand, threads, text of a demo
mod exactness; // the search by bounds against enumeration
mod exclusions; // what the rules exclude, by formula and by a list of all
mod explained; // report and card of one pick: texts of the demos (tests/suite/shown), figures
mod extremes; // inputs at the ends of what is accepted: finite figures in every output, in time
mod faults; // one fault at a time against closed forms and an integration by hand, and its text
mod fuzz; // good files changed at random: what every reader must bear
mod generate; // random small studies, as texts
#[cfg(unix)]
mod hostile; // sizes, endless inputs, hidden signs, command by command
mod inputs; // what the readers say of good and damaged studies, catalogs and load profiles
mod long_logs; // logs of many steps: what they share, and what is shown of them
mod open_data; // measured machines (tests/data): a rig, two engines
mod outputs; // what is written: never over an input, all or none, whatever fails, kills or signals come
mod portions; // the search by bounds in small portions, stopped, gone on with, in shares
mod properties; // what holds for every candidate of random studies
mod published; // worked examples and tables that were published: one row of tests/published/examples.csv each
mod readme; // the README against the program
mod results; // what is written: columns, numbers, JSON
mod schemas; // JSON results against their schemas; keys against the rule for keys
mod small_study; // no tests: a study with one candidate, in text, for tests of the whole chain
mod studies;
mod temperature; // cooler, steady mean and peak against an independent calculation
mod timed_gas; // timed gas against the isentropic line
mod trade; // what everybody in the trade knows: common practice, no source
mod us_units;
mod vary; // the winner over a range: breaks against changed files and by hand
mod why;
mod widths; // what a screen must keep at every width // why not the cheaper one: neighbourhood, steps, concessions; texts of the demos
