//! A study with the text and the catalogs that it was read from: it can be read again with other values.

use super::{Requirement, Study, Value, read};
use crate::catalog::Catalog;
use crate::problems::{Problem, Problems};

/// A study and what it was read from.
#[derive(Debug)]
pub struct StudySource {
    /// The study.
    pub study: Study,
    /// Name of its file, for messages.
    pub file: String,
    /// Its text.
    pub text: String,
    /// The catalogs as they were read.
    pub catalog: Catalog,
}

impl StudySource {
    /// Reads the study again with other values of some requirements and another catalog, as if files said so.
    ///
    /// # Errors
    /// What the study or the profile cannot have, called by the values.
    pub fn with(&self, values: &[(&Requirement, Value)], catalog: &Catalog) -> Result<Study, Problems> {
        let named: Vec<String> =
            values.iter().map(|(of, value)| format!("{} {}", of.name, of.words(*value))).collect();
        let file = format!("{} with {}", self.file, named.join(" and "));
        let (mut text, mut profile) = (self.text.clone(), self.study.profile.clone());
        for (requirement, value) in values {
            requirement.put(*value, &mut text, &mut profile).map_err(|accepted| Problem {
                file: file.clone(),
                line: 0,
                column: 0,
                place: requirement.name.clone(),
                found: requirement.words(*value),
                accepted,
                hint: String::new(),
            })?;
        }
        read(text.as_bytes(), &file, catalog, Some(profile), Problems::default())
    }
}
