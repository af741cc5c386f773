//! A requirement of a study by its name, and the study's text and load profile with another value of it: what is
//! changed is what a file would say, so that everything derived from it follows.

use super::{Settings, Study};
use crate::input::nearest;
use crate::profile::{Place, Profile, ProfileQuantity};
use crate::units::{
    Duration, Flow, Length, Mass, Pressure, Quantity, Ratio, System, Temperature, TemperatureDifference,
    Unit, Volume, parse_in,
};
use std::fmt;
use toml_edit::{DocumentMut, Item, value};

/// A temperature below this that is given in K is meant as a difference.
const LEAST_KELVIN: f64 = 150.0;

/// Most names that a message lists.
const MOST_LISTED: usize = 40;

/// Money and factors are plain numbers.
const PLAIN: [Unit; 1] = [Unit { symbol: "", factor: 1.0, offset: 0.0 }];

/// Keys of other sections than `[settings]`: name and key, section, units, what it is.
const KEYS: [(&str, &str, &[Unit], &str); 5] = [
    ("air_temperature", "site", Temperature::UNITS, "design air temperature"),
    ("altitude", "site", Length::UNITS, "altitude of the site"),
    ("budget", "limits", &PLAIN, "highest cost"),
    ("mass", "limits", Mass::UNITS, "highest mass"),
    ("space", "limits", Volume::UNITS, "highest installed volume"),
];

/// A value as it is written: a number in a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WrittenValue {
    /// The number.
    pub number: f64,
    /// Unit of the number.
    pub unit: Unit,
}

impl WrittenValue {
    /// The SI value; of money whole units.
    #[must_use]
    pub fn si(self) -> f64 {
        self.number * self.unit.factor + self.unit.offset
    }

    /// Returns the value in another unit, with ten digits, so that what was written in that unit comes back as it was.
    #[must_use]
    pub fn in_unit(self, unit: Unit) -> Self {
        if self.unit == unit {
            return self;
        }
        Self { number: ten_digits((self.si() - unit.offset) / unit.factor), unit }
    }
}

fn ten_digits(number: f64) -> f64 {
    format!("{number:.9e}").parse().unwrap_or(number)
}

impl fmt::Display for WrittenValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", format!("{} {}", self.number, self.unit.symbol).trim_end())
    }
}

/// Where a requirement stands.
#[derive(Debug, Clone, PartialEq)]
enum Where {
    /// A key of a section of the study.
    Key(&'static str, &'static str),
    /// Figures of the load profile, each the value itself.
    Figures(ProfileQuantity, Vec<Place>),
    /// Figures of the load profile times a factor.
    Factor(ProfileQuantity, Vec<Place>),
}

/// A requirement that can be given another value.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyParameter {
    /// Name: `air_temperature`, `flow of saw motor`, `oil_limit`.
    pub name: String,
    at: Where,
    units: &'static [Unit],
    /// What the study says, or the default; `None` where it says nothing.
    pub stated: Option<WrittenValue>,
}

impl StudyParameter {
    /// Names of the requirements and what each is, for lists.
    pub fn table() -> Vec<(String, String)> {
        let keys = KEYS.iter().map(|(key, _, _, meaning)| ((*key).to_owned(), (*meaning).to_owned()));
        let profile = [
            ("flow", "all flows of the load profile, as a factor"),
            ("pressure", "all load pressures, as a factor"),
            ("duration", "the durations of all steps, as a factor"),
            ("idle", "the durations of the steps in which nothing moves, as a factor"),
            ("held", "all pressures that must be held, as a factor"),
            (
                "flow of NAME",
                "that of a function, of a step, or of a function in a step (\"saw motor in saw\"); likewise `pressure of NAME`",
            ),
            ("duration of STEP", "that of a step; likewise `held of STEP`"),
        ];
        let profile = profile.map(|(name, meaning)| (name.to_owned(), meaning.to_owned()));
        keys.chain(profile).chain([("a key of `[settings]`".to_owned(), "that setting".to_owned())]).collect()
    }

    /// Finds a requirement of a study whose text is given.
    ///
    /// # Errors
    /// What is accepted.
    pub fn find(name: &str, study: &Study, text: &str) -> Result<Self, String> {
        let name = name.trim();
        let setting = Settings::table().into_iter().find(|line| line.is_called(name));
        let key = KEYS.iter().find(|key| key.0 == name);
        let stated = |section: &str, key: &str, units| {
            let document: DocumentMut = text.parse().ok()?;
            let written = document.get(section)?.get(key)?;
            let text = written.as_str().map_or_else(|| written.to_string(), str::to_owned);
            parse_in(&text, units).map(|(number, unit)| WrittenValue { number, unit })
        };
        if let Some(&(key, section, units, _)) = key {
            let stated = stated(section, key, units);
            return Ok(Self { name: key.to_owned(), at: Where::Key(section, key), units, stated });
        }
        if let Some(line) = setting {
            let default =
                || parse_in(line.default, line.units).map(|(number, unit)| WrittenValue { number, unit });
            // the text may have it under the name that it had before
            let former = stated("settings", line.former, line.units);
            let key = if former.is_some() { line.former } else { line.key };
            let stated = former.or_else(|| stated("settings", line.key, line.units)).or_else(default);
            let at = Where::Key("settings", key);
            return Ok(Self { name: line.key.to_owned(), at, units: line.units, stated });
        }
        Self::of_profile(name, study).ok_or_else(|| accepted(name, study))
    }

    /// A requirement that stands in the load profile.
    fn of_profile(name: &str, study: &Study) -> Option<Self> {
        let profile = &study.profile;
        let (what, of) = name.split_once(" of ").map_or((name, None), |(what, of)| (what, Some(of)));
        let (figure, places) = if (what, of) == ("idle", None) {
            (ProfileQuantity::Duration, profile.idle())
        } else {
            let figure = ProfileQuantity::ALL.iter().find(|figure| figure.0 == what)?.1;
            (figure, profile.places(figure, of))
        };
        let first = profile.figure(figure, *places.first()?);
        let alike = places.iter().all(|place| profile.figure(figure, *place) == first);
        let name = name.to_owned();
        if of.is_none() || !alike {
            let stated = Some(WrittenValue { number: 1.0, unit: PLAIN[0] });
            return Some(Self { name, at: Where::Factor(figure, places), units: Ratio::UNITS, stated });
        }
        let (units, shown) = match figure {
            ProfileQuantity::Flow => (Flow::UNITS, symbol::<Flow>(study.system)),
            ProfileQuantity::Pressure | ProfileQuantity::Held => {
                (Pressure::UNITS, symbol::<Pressure>(study.system))
            }
            ProfileQuantity::Duration => (Duration::UNITS, symbol::<Duration>(study.system)),
        };
        let unit = *units.iter().find(|unit| unit.symbol == shown).unwrap_or(&units[0]);
        let si = Unit { symbol: "", factor: 1.0, offset: 0.0 };
        let stated = Some(WrittenValue { number: first, unit: si }.in_unit(unit));
        Some(Self { name, at: Where::Figures(figure, places), units, stated })
    }

    /// Reads a value: a number with its unit, `by` a difference from what the study says, `times` a factor of it.
    ///
    /// # Errors
    /// What is accepted.
    pub fn value(&self, text: &str) -> Result<WrittenValue, String> {
        let text = text.trim();
        let said = || {
            self.stated
                .ok_or_else(|| format!("a value: the study says nothing of `{}` to count from", self.name))
        };
        let has_zero = self.units.iter().all(|unit| unit.offset == 0.0);
        let value = if let Some(factor) = text.strip_prefix("times ").filter(|_| has_zero) {
            let (number, unit) = parse_in(factor, Ratio::UNITS).ok_or_else(|| self.accepted())?;
            let said = said()?;
            WrittenValue { number: ten_digits(said.number * number * unit.factor), ..said }
        } else if let Some(difference) = text.strip_prefix("by ") {
            let (number, unit) =
                parse_in(difference, differences(self.units)).ok_or_else(|| self.accepted())?;
            let said = said()?;
            WrittenValue { number: ten_digits(said.number + number * unit.factor / said.unit.factor), ..said }
        } else {
            let (number, unit) = parse_in(text, self.units).ok_or_else(|| self.accepted())?;
            if !has_zero && unit.symbol == "K" && number < LEAST_KELVIN {
                return Err(format!("{} ('by {text}' for a difference)", self.accepted()));
            }
            WrittenValue { number, unit }
        };
        if value.si().is_finite() { Ok(value) } else { Err(self.accepted()) }
    }

    /// Reads how near two values shall be: a difference with its unit, or a number in the unit of the values.
    ///
    /// # Errors
    /// What is accepted.
    pub fn precision(&self, text: &str, unit: Unit) -> Result<f64, String> {
        let number = match parse_in(text, &PLAIN) {
            Some((number, _)) => number,
            None => match parse_in(text.trim(), differences(self.units)) {
                Some((number, of)) => ten_digits(number * of.factor / unit.factor),
                None => f64::NAN,
            },
        };
        if number > 0.0 && number.is_finite() {
            Ok(number)
        } else {
            let units = symbols(differences(self.units));
            Err(format!("a number above 0, in {} or with its unit: {units}", name_of(unit)))
        }
    }

    /// The least step between two values where not every number is one: cents, whole numbers.
    pub fn least_step(&self) -> Option<f64> {
        match self.at {
            Where::Key(_, "budget") => Some(0.01),
            Where::Key(_, "repeat_limit" | "closing_cycles") => Some(1.0),
            _ => None,
        }
    }

    /// A value of it in words: "104 degF", "times 1.2".
    pub fn words(&self, value: WrittenValue) -> String {
        if matches!(self.at, Where::Factor(..)) { format!("times {value}") } else { value.to_string() }
    }

    /// Returns the name with the unit of its values: `flow of saw motor [gpm]`, `idle (as a factor)`.
    pub fn called(&self, unit: Unit) -> String {
        match (&self.at, unit.symbol) {
            (Where::Factor(..), "") => format!("{} (as a factor)", self.name),
            (Where::Factor(..), symbol) => format!("{} (as a factor, {symbol})", self.name),
            (_, "") => self.name.clone(),
            (_, symbol) => format!("{} [{symbol}]", self.name),
        }
    }

    /// Puts a value into the text of the study, or into the load profile.
    ///
    /// # Errors
    /// What is accepted, where the profile cannot have it; what the study cannot have is found when it is read.
    pub fn put(&self, to: WrittenValue, text: &mut String, profile: &mut Profile) -> Result<(), String> {
        match &self.at {
            Where::Key(section, key) => {
                let mut document: DocumentMut =
                    text.parse().map_err(|error: toml_edit::TomlError| error.to_string())?;
                let section = document.entry(section).or_insert_with(toml_edit::table);
                if let Some(table) = section.as_table_like_mut() {
                    let old = table.insert(key, value(to.to_string()));
                    // a remark behind the old value stays
                    if let (Some(Item::Value(old)), Some(Item::Value(new))) = (old, table.get_mut(key)) {
                        *new.decor_mut() = old.decor().clone();
                    }
                }
                *text = document.to_string();
            }
            Where::Figures(figure, places) => *profile = profile.with(*figure, places, |_| to.si())?,
            Where::Factor(figure, places) => *profile = profile.with(*figure, places, |old| old * to.si())?,
        }
        Ok(())
    }

    /// What is accepted as a value.
    fn accepted(&self) -> String {
        let mut accepted = if matches!(self.at, Where::Factor(..)) {
            "a factor such as \"1.2\" or \"times 1.2\"".to_owned()
        } else if self.units.len() == 1 && self.units[0].symbol.is_empty() {
            "a number".to_owned()
        } else {
            format!("a number and a unit ({})", symbols(self.units))
        };
        if self.stated.is_some() {
            let differences = differences(self.units);
            let units =
                if differences == PLAIN { String::new() } else { format!(" ({})", symbols(differences)) };
            accepted = format!("{accepted}, \"by \" and a difference{units} from {}", self.stated_words());
            if self.units.iter().all(|unit| unit.offset == 0.0) {
                accepted += ", \"times \" and a factor of it";
            }
        }
        accepted
    }

    /// What the study says, in words.
    pub fn stated_words(&self) -> String {
        self.stated.map_or_else(|| "nothing".to_owned(), |stated| self.words(stated))
    }
}

fn symbol<Q: Quantity>(system: System) -> &'static str {
    system.symbol::<Q>()
}

/// Units of a difference of two values.
fn differences(units: &'static [Unit]) -> &'static [Unit] {
    match units.first().map(|unit| unit.symbol) {
        Some("degC") => TemperatureDifference::UNITS,
        Some("bar abs") => Pressure::UNITS,
        _ => units,
    }
}

fn symbols(units: &[Unit]) -> String {
    units.iter().map(|unit| name_of(*unit)).collect::<Vec<_>>().join(", ")
}

fn name_of(unit: Unit) -> &'static str {
    if unit.symbol.is_empty() { "no unit" } else { unit.symbol }
}

/// What is accepted as a name, with the one that is nearest.
fn accepted(name: &str, study: &Study) -> String {
    let name = if name.is_empty() { "(nothing)" } else { name };
    let (profile, settings) = (&study.profile, Settings::table());
    let (functions, steps) = (profile.function_names(), profile.step_names());
    let keys: Vec<&str> = KEYS.iter().map(|key| key.0).collect();
    let settings: Vec<&str> = settings.iter().map(|line| line.key).collect();
    let all = ["flow", "pressure", "duration", "idle", "held"];
    let of =
        all.iter().flat_map(|what| functions.iter().chain(&steps).map(move |of| format!("{what} of {of}")));
    let names: Vec<String> =
        keys.iter().chain(&settings).chain(&all).map(|name| (*name).to_owned()).chain(of).collect();
    let names = || names.iter().map(String::as_str);
    let near = nearest(name, names()).or_else(|| names().find(|known| known.starts_with(name)));
    let hint = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    format!(
        "'{name}' is no requirement of this study{hint}\naccepted:\n  {}\n  {}; some of them by \"flow of NAME\", \"duration of \
         STEP\"\n    functions: {}\n    steps: {}\n  settings: {}",
        keys.join(", "),
        all.join(", "),
        list(&functions),
        list(&steps),
        settings.join(", ")
    )
}

fn list(names: &[&str]) -> String {
    match names.get(..MOST_LISTED) {
        Some(first) if names.len() > MOST_LISTED => format!("{}, ...", first.join(", ")),
        _ => names.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air(stated: Option<&str>) -> StudyParameter {
        let stated = stated
            .and_then(|s| parse_in(s, Temperature::UNITS))
            .map(|(number, unit)| WrittenValue { number, unit });
        let at = Where::Key("site", "air_temperature");
        StudyParameter { name: "air_temperature".to_owned(), at, units: Temperature::UNITS, stated }
    }

    #[test]
    fn values_are_read_alone_and_from_what_the_study_says() {
        let air = air(Some("100 degF"));
        for (text, words) in [
            ("45 degC", "45 degC"),
            ("by 10 K", "118 degF"),
            ("by -5 degF diff", "95 degF"),
            (" -40 degF ", "-40 degF"),
        ] {
            assert_eq!(air.value(text).unwrap().to_string(), words);
        }
        for text in ["", "45", "by 10", "by 10 degF", "times 1.1", "45 bar", "by ten K"] {
            assert!(air.value(text).is_err(), "{text}");
        }
        assert!(air.value("45").unwrap_err().contains("from 100 degF"));
        let silent = self::air(None);
        assert!(
            silent.value("45 degC").is_ok() && silent.value("by 3 K").unwrap_err().contains("says nothing")
        );
        let fahrenheit = air.value("45 degC").unwrap().in_unit(Temperature::UNITS[1]);
        assert_eq!(fahrenheit.to_string(), "113 degF");
        assert_eq!(air.precision("0.5 K", Temperature::UNITS[1]), Ok(0.9));
        assert_eq!(air.precision("0.5", Temperature::UNITS[1]), Ok(0.5));
        assert!(air.precision("-1 K", Temperature::UNITS[1]).is_err());
    }

    #[test]
    fn a_value_takes_its_place_in_the_text_and_all_else_stays() {
        let mut profile = Profile { steps: Vec::new() };
        let mut put = |text: &str| {
            let (air, mut text) = (air(None), text.to_owned());
            air.put(air.value("45 degC").unwrap(), &mut text, &mut profile).unwrap();
            text
        };
        let text = "# a\n[site]\nair_temperature = \"30 degC\" # hot\naltitude = \"5 m\"\n\n[[scheme]]\nrule = \"x\"\n";
        assert_eq!(put(text), text.replace("30 degC", "45 degC"));
        assert_eq!(put("title = \"t\"\n"), "title = \"t\"\n\n[site]\nair_temperature = \"45 degC\"\n");
        assert_eq!(put("site = { altitude = \"5 m\" }\n").matches("45 degC").count(), 1);
    }
}
