//! The studies that are measured: the demo of the firewood processor with slots cut down.

use std::path::Path;

use sumpwright::catalog::Reader;
use sumpwright::profile;
use sumpwright::study::{self, Study};

/// The firewood demo with its study text changed and, where given, another load profile.
///
/// # Panics
/// Where the demo cannot be read.
#[expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a bench reads its files and stops at the first surprise"
)]
pub(crate) fn firewood(change: &[(&str, &str)], load: Option<&str>) -> Study {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/firewood");
    let mut text = std::fs::read_to_string(folder.join("study.toml")).unwrap();
    for (old, new) in change {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    let files = study::files(text.as_bytes(), "study.toml");
    let mut reader = Reader::default();
    for (kind, file) in files.catalogs {
        reader.read(kind, &std::fs::read(folder.join(&file)).unwrap(), &file);
    }
    let (catalog, diagnostics) = reader.finish();
    let load = load.map_or_else(|| std::fs::read_to_string(folder.join("load.csv")).unwrap(), str::to_owned);
    let profile = profile::read(load.as_bytes(), "load.csv").unwrap();
    study::read(text.as_bytes(), "study.toml", &catalog, Some(profile), diagnostics)
        .unwrap_or_else(|diagnostics| panic!("{:?}", diagnostics.sorted()))
}
