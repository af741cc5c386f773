//! The files that a study names.

use crate::catalog::{Catalog, PartKind};
use crate::input::{Source, TomlSection, TomlTree};

/// The files that a study names, as it names them: relative to the study.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Files {
    /// The load profile.
    pub profile: Option<String>,
    /// The catalogs; a kind may have several.
    pub catalogs: Vec<(PartKind, String)>,
}

/// The files that a study names, as far as it can be read: what is wrong with it is reported by [`super::read`], which
/// sees the same section again.
pub fn files(bytes: &[u8], file: &str) -> Files {
    let Ok(source) = Source::new(bytes, file) else { return Files::default() };
    TomlTree::new(source).read(|root| root.section("files", |section| named(section))).0
}

fn named(section: &mut TomlSection<'_, '_>) -> Files {
    let profile = section.file("profile");
    let mut files = Files { profile: Some(profile).filter(|name| !name.is_empty()), catalogs: Vec::new() };
    for kind in PartKind::ALL {
        if matches!(kind, PartKind::Coolers | PartKind::Accumulators | PartKind::UnloadingValves) {
            section.names_or_one(kind.key())
        } else {
            section.require(kind.key(), "the name of a file, or a list of names");
            section.names_or_one(kind.key())
        }
        .unwrap_or_default()
        .into_iter()
        .for_each(|(name, _)| files.catalogs.push((kind, name)));
    }
    files
}

/// Reads `[files]` and notes catalogs without rows.
pub(super) fn check(section: &mut TomlSection<'_, '_>, catalog: &Catalog) -> Files {
    let files = named(section);
    for kind in PartKind::ALL {
        let named = files.catalogs.iter().any(|(named, _)| *named == kind);
        let has_rows = catalog.listings().iter().any(|(of, _)| *of == kind);
        if named && !has_rows && !catalog.refused.contains_key(&kind) {
            section.refuse(kind.key(), &format!("a file with {}", kind.name()), "there is no row in it");
        }
    }
    files
}
