//! Figures of a load profile by name, and the profile with other ones in their place.

use super::read::Sets;
use super::{Function, Profile, Step};
use crate::input::Range;
use crate::units::{Duration, Flow, Pressure, Quantity};
use std::collections::BTreeSet;

/// What a figure of a profile is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProfileQuantity {
    /// Flow of a function.
    Flow,
    /// Load pressure of a function.
    Pressure,
    /// Duration of a step.
    Duration,
    /// Pressure held in a step.
    Held,
}

/// What is accepted of the sum of all durations.
const WHOLE: &str = "a whole cycle of 0.001 to 864 000 s";

/// Where a figure stands: the step, and the function in it where the figure is of one.
pub type Place = (usize, Option<usize>);

impl ProfileQuantity {
    /// All, with the words by which they are called.
    pub const ALL: [(&'static str, Self); 4] = [
        ("flow", Self::Flow),
        ("pressure", Self::Pressure),
        ("duration", Self::Duration),
        ("held", Self::Held),
    ];

    fn of_function(self) -> bool {
        matches!(self, Self::Flow | Self::Pressure)
    }

    /// What is accepted: the same as in the columns of a profile.
    fn range(self) -> Range {
        match self {
            Self::Flow => Range::FLOW_OR_ZERO,
            Self::Pressure => Range::PRESSURE_OR_ZERO,
            Self::Duration => Range::STEP,
            Self::Held => Range::PRESSURE,
        }
    }
}

impl Profile {
    /// Names of all functions, each once, in their order.
    pub fn function_names(&self) -> Vec<&str> {
        once(self.steps.iter().flat_map(|step| step.functions.iter()).map(|function| function.name.as_str()))
    }

    /// Names of all steps, each once, in their order.
    pub fn step_names(&self) -> Vec<&str> {
        once(self.steps.iter().map(|step| step.name.as_str()).filter(|name| !name.is_empty()))
    }

    /// Where figures stand: all of a kind; or those of a step, of a function, or of a function in a step by
    /// `FUNCTION in STEP`. Empty where there are none.
    pub fn places(&self, figure: ProfileQuantity, name: Option<&str>) -> Vec<Place> {
        let find = |of: &dyn Fn(&Step, Option<&Function>) -> bool| {
            let mut places = Vec::new();
            for (i, step) in self.steps.iter().enumerate() {
                if figure.of_function() {
                    let of = step.functions.iter().enumerate().filter(|(_, f)| of(step, Some(f)));
                    places.extend(of.map(|(j, _)| (i, Some(j))));
                } else if of(step, None)
                    && (figure != ProfileQuantity::Held || step.holding_pressure.is_some())
                {
                    places.push((i, None));
                }
            }
            places
        };
        let Some(name) = name else { return find(&|_, _| true) };
        let named = find(&|step, function| *step.name == *name || function.is_some_and(|f| *f.name == *name));
        match name.split_once(" in ") {
            Some((of, within)) if named.is_empty() => {
                find(&|step, function| *step.name == *within && function.is_some_and(|f| *f.name == *of))
            }
            _ => named,
        }
    }

    /// Steps in which nothing moves: places of their durations.
    pub fn idle(&self) -> Vec<Place> {
        let idle = self.steps.iter().enumerate().filter(|(_, step)| step.functions.is_empty());
        idle.map(|(i, _)| (i, None)).collect()
    }

    /// The figure in a place, SI; 0 where there is none.
    pub fn figure(&self, figure: ProfileQuantity, (step, function): Place) -> f64 {
        let step = &self.steps[step];
        let function = function.map(|j| &step.functions[j]);
        match figure {
            ProfileQuantity::Flow => function.map_or(0.0, |f| f.flow.si()),
            ProfileQuantity::Pressure => function.map_or(0.0, |f| f.load_pressure.si()),
            ProfileQuantity::Duration => step.duration.si(),
            ProfileQuantity::Held => step.holding_pressure.map_or(0.0, Quantity::si),
        }
    }

    /// The profile with other figures (SI) in some places. A function that then asks for no flow is left out, as
    /// where a file says so.
    ///
    /// # Errors
    /// What is accepted, where a figure is none that a file may have.
    pub fn with(
        &self,
        figure: ProfileQuantity,
        places: &[Place],
        change: impl Fn(f64) -> f64,
    ) -> Result<Self, &'static str> {
        let mut profile = self.clone();
        let mut sets = Sets::default();
        // the places of a step stand together
        for places in places.chunk_by(|a, b| a.0 == b.0) {
            let step = &mut profile.steps[places[0].0];
            let mut functions = step.functions.to_vec();
            for &(at, function) in places {
                let value = change(self.figure(figure, (at, function)));
                if !figure.range().holds(value) {
                    return Err(figure.range().words());
                }
                match (figure, function.map(|j| &mut functions[j])) {
                    (ProfileQuantity::Flow, Some(function)) => function.flow = Flow::from_si(value),
                    (ProfileQuantity::Pressure, Some(function)) => {
                        function.load_pressure = Pressure::from_si(value);
                    }
                    (ProfileQuantity::Duration, _) => step.duration = Duration::from_si(value),
                    (ProfileQuantity::Held, _) => step.holding_pressure = Some(Pressure::from_si(value)),
                    _ => {}
                }
            }
            functions.retain(|function| function.flow.si() > 0.0);
            step.functions = sets.share(&mut functions);
        }
        let cycle: f64 = profile.steps.iter().map(|step| step.duration.si()).sum();
        if Range::CYCLE.holds(cycle) { Ok(profile) } else { Err(WHOLE) }
    }
}

fn once<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut seen = BTreeSet::new();
    names.filter(|name| seen.insert(*name)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::read;

    const TEXT: &str = "step,duration [s],function,flow [L/min],pressure [bar],held [bar]\n\
        saw,6,motor,40,100,60\nsaw,,feed,3,30,\nwait,20,,,,\nback,2,feed,6,20,\n";

    #[test]
    fn figures_are_found_by_step_by_function_and_by_both() {
        let profile = read(TEXT.as_bytes(), "load.csv").unwrap();
        let places = |figure, name| profile.places(figure, name);
        assert_eq!(places(ProfileQuantity::Flow, None).len(), 3);
        assert_eq!(places(ProfileQuantity::Flow, Some("feed")), [(0, Some(1)), (2, Some(0))]);
        assert_eq!(places(ProfileQuantity::Pressure, Some("saw")), [(0, Some(0)), (0, Some(1))]);
        assert_eq!(places(ProfileQuantity::Pressure, Some("feed in back")), [(2, Some(0))]);
        assert_eq!(places(ProfileQuantity::Duration, Some("wait")), profile.idle());
        assert_eq!(places(ProfileQuantity::Held, None), [(0, None)]);
        assert!(places(ProfileQuantity::Duration, Some("motor")).is_empty());
        assert_eq!((profile.function_names(), profile.step_names().len()), (vec!["motor", "feed"], 3));
    }

    #[test]
    fn a_changed_profile_is_that_of_a_changed_file() {
        let read = |text: &str| read(text.as_bytes(), "load.csv").unwrap();
        let profile = read(TEXT);
        let feed = profile.places(ProfileQuantity::Flow, Some("feed in back"));
        let changed = profile.with(ProfileQuantity::Flow, &feed, |_| 7e-3 / 60.0).unwrap();
        assert_eq!(changed, read(&TEXT.replace("feed,6", "feed,7")));
        assert_eq!(
            profile.with(ProfileQuantity::Flow, &feed, |flow| 0.0 * flow).unwrap(),
            read(&TEXT.replace("feed,6", "feed,0"))
        );
        let all = profile.places(ProfileQuantity::Duration, None);
        assert_eq!(profile.with(ProfileQuantity::Duration, &all, |_| 0.0), Err("0.000001 to 864 000 s"));
    }
}
