//! A study with the text and the catalogs that it was read from: it can be read again with other values.

use super::{Study, StudyParameter, WrittenValue, read};
use crate::catalog::Catalog;
use crate::input::{Diagnostic, Diagnostics};

/// A study and what it was read from.
#[derive(Debug)]
pub struct StudySource {
    /// The study.
    pub study: Study,
    /// Name of its file, for messages.
    pub file: String,
    /// Text of the study.
    pub text: String,
    /// The catalogs as they were read.
    pub catalog: Catalog,
}

impl StudySource {
    /// Reads the study again with other values of some requirements and another catalog, as if files said so.
    ///
    /// # Errors
    /// What the study or the profile cannot have, called by the values.
    pub fn with(
        &self,
        values: &[(&StudyParameter, WrittenValue)],
        catalog: &Catalog,
    ) -> Result<Study, Diagnostics> {
        let named: Vec<String> =
            values.iter().map(|(of, value)| format!("{} {}", of.name, of.words(*value))).collect();
        let file = format!("{} with {}", self.file, named.join(" and "));
        let (mut text, mut profile) = (self.text.clone(), self.study.profile.clone());
        for (parameter, value) in values {
            parameter.put(*value, &mut text, &mut profile).map_err(|accepted| Diagnostic {
                file: file.clone(),
                line: 0,
                column: 0,
                place: parameter.name.clone(),
                found: parameter.words(*value),
                accepted,
                hint: String::new(),
            })?;
        }
        read(text.as_bytes(), &file, catalog, Some(profile), Diagnostics::default())
    }
}
