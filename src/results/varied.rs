//! The first of the ranking while one requirement goes over a range: stretches with one winner, and the breaks between.

use super::cautions;
use super::csv::Sheet;
use super::grid::{grid, text, wrapped};
use super::json::Json;
use super::measure::Measure;
use super::outcome::{Called, Outcome, money, why};
use super::stamp::{self, Input};
use super::winners::Winners;
use crate::simulation::Conditions;
use crate::study::{Requirement, Study, Value};
use crate::units::{Money, System, Unit, fixed};
use std::io;

/// How the range was searched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sampling {
    /// Number of points with equal distances.
    pub points: usize,
    /// Whether the value of the study was searched beside them.
    pub stated: bool,
    /// Breaks are bracketed to this, in the unit of the values.
    pub precision: f64,
}

/// One requirement over a range.
#[derive(Debug)]
pub struct Varied<'a> {
    /// The study as it stands.
    pub study: &'a Study,
    /// The requirement.
    pub requirement: &'a Requirement,
    /// Unit of the values.
    pub unit: Unit,
    /// How the range was searched.
    pub sampling: Sampling,
    /// What was found at each value that was searched, rising; `None` where rules exclude everything.
    pub found: Vec<(f64, Option<Outcome>)>,
    /// Why one winner gives way to the next, for each break.
    pub why: Vec<String>,
}

/// Whether two outcomes count as one stretch.
pub fn same(one: &Option<Outcome>, other: &Option<Outcome>) -> bool {
    let winner =
        |outcome: &Option<Outcome>| outcome.as_ref().filter(|o| o.adequate).map(|o| o.candidate.clone());
    winner(one) == winner(other)
}

/// Places of the first and the last value of each stretch.
pub fn stretches(found: &[(f64, Option<Outcome>)]) -> Vec<(usize, usize)> {
    let mut all: Vec<(usize, usize)> = Vec::new();
    for (i, (_, outcome)) in found.iter().enumerate() {
        match all.last_mut() {
            Some((first, last)) if same(&found[*first].1, outcome) => *last = i,
            _ => all.push((i, i)),
        }
    }
    all
}

/// Two figures as one where they look the same.
fn both(first: String, between: &str, last: &str) -> String {
    if first == last { first } else { format!("{first} {between} {last}") }
}

impl Varied<'_> {
    fn system(&self) -> System {
        self.study.system
    }

    fn value(&self, number: f64) -> Value {
        Value { number, unit: self.unit }
    }

    fn words(&self, number: f64) -> String {
        self.requirement.words(self.value(number))
    }

    fn heading(&self, words: &str) -> String {
        if self.unit.symbol.is_empty() { words.to_owned() } else { format!("{words} [{}]", self.unit.symbol) }
    }

    fn ends(&self, (first, last): (usize, usize)) -> [(f64, Option<&Outcome>); 2] {
        [first, last].map(|i| (self.found[i].0, self.found[i].1.as_ref()))
    }

    fn winners(&self) -> Winners<'_> {
        Winners::new(self.found.iter().filter_map(|(_, outcome)| outcome.as_ref()))
    }

    /// Finds why one winner gives way to the next; `study_at` is the study at a value that was searched.
    pub fn explain(&mut self, study_at: impl Fn(f64) -> Option<Study>) {
        let winners = self.winners();
        let pairs: Vec<(usize, usize)> =
            stretches(&self.found).windows(2).map(|pair| (pair[0].1, pair[1].0)).collect();
        let reason = |(last, first): (usize, usize)| {
            let letters = [last, first].map(|i| winners.letter(self.found[i].1.as_ref()).unwrap_or_default());
            let called = |i: usize, letter| Called {
                letter,
                outcome: self.found[i].1.as_ref().filter(|outcome| outcome.adequate),
            };
            let studies = [study_at(self.found[last].0)?, study_at(self.found[first].0)?];
            let conditions = studies.each_ref().map(Conditions::new);
            let [before, after] = conditions.each_ref();
            Some(why(
                called(last, &letters[0]),
                called(first, &letters[1]),
                [before, after],
                self.study.system,
            ))
        };
        self.why = pairs.into_iter().map(|pair| reason(pair).unwrap_or_default()).collect();
    }

    /// True where something is adequate at some value.
    pub fn any_adequate(&self) -> bool {
        self.found.iter().any(|(_, outcome)| outcome.as_ref().is_some_and(|o| o.adequate))
    }

    /// Everything as text.
    pub fn text(&self) -> String {
        let (winners, stretches) = (self.winners(), stretches(&self.found));
        let end = |i: usize| self.words(self.found[i].0);
        let mut out = format!(
            "{}\n{} from {} to {}; the study says {}\n\n",
            self.study.title,
            self.requirement.name,
            end(0),
            end(self.found.len() - 1),
            self.requirement.stated_words()
        );
        let unit = self.unit.symbol;
        let headings =
            [&format!(">from {unit}"), &format!(">to {unit}"), "winner", "cost", "heat margin %", "binds"];
        let mut table = grid(&headings.map(|heading: &str| heading.trim_end()));
        for stretch in &stretches {
            let [(from, first), (to, last)] = self.ends(*stretch);
            let of = |between: &str, what: &dyn Fn(&Outcome) -> String| {
                let [first, last] = [first, last].map(|o| o.map_or_else(|| "-".to_owned(), what));
                both(first, between, &last)
            };
            let [cost, margin, binds] = if winners.letter(first).is_some() {
                [
                    of("to", &|o| fixed(o.cost.to_units(), 2)),
                    of("to", &|o| fixed(100.0 * o.heat_margin, 1)),
                    of("then", &Outcome::binds_words),
                ]
            } else {
                ["-", "-", "-"].map(str::to_owned)
            };
            let letter = winners.letter(first).unwrap_or_else(|| "nothing is adequate".to_owned());
            table.add_row([from.to_string(), to.to_string(), letter, cost, margin, binds]);
        }
        out += &text(&table);
        out += &winners.legend();
        out += &self.misses(&stretches);
        out += &self.breaks(&winners, &stretches);
        out += "\nHow it was searched\n";
        out += &wrapped("  ", &self.sampled(&stretches));
        out + &cautions::short()
    }

    /// The nearest miss of each stretch where nothing is adequate.
    fn misses(&self, stretches: &[(usize, usize)]) -> String {
        let mut out = String::new();
        for stretch in stretches {
            for (value, outcome) in
                self.ends(*stretch).into_iter().take(1 + usize::from(stretch.0 != stretch.1))
            {
                if outcome.is_some_and(|o| o.adequate) {
                    continue;
                }
                let mark = format!("  at {}: ", self.words(value));
                out += &match outcome.and_then(|o| Some((o, o.binds?))) {
                    Some((miss, check)) => {
                        let sentence = super::checks::sentence(&check, self.system());
                        format!("{}    {}\n", wrapped(&mark, &sentence), miss.name)
                    }
                    None => wrapped(&mark, "every combination is excluded by a rule"),
                };
            }
        }
        if out.is_empty() { out } else { format!("\nNearest misses where nothing is adequate\n{out}") }
    }

    fn breaks(&self, winners: &Winners<'_>, stretches: &[(usize, usize)]) -> String {
        let mut out = String::from("\nBreaks\n");
        for (pair, why) in stretches.windows(2).zip(&self.why) {
            let ([_, (from, before)], [(to, after), _]) = (self.ends(pair[0]), self.ends(pair[1]));
            let called = |outcome| winners.letter(outcome).unwrap_or_else(|| "nothing".to_owned());
            let jump = jump(before, after).map_or_else(String::new, |jump| {
                let sign = if jump.0 < 0 { "" } else { "+" };
                format!(", cost {sign}{}", fixed(jump.to_units(), 2))
            });
            let head = format!(
                "between {} and {}: {} gives way to {}{jump}. {why}",
                self.words(from),
                self.words(to),
                called(before),
                called(after)
            );
            out += &wrapped("  ", &head);
        }
        if stretches.len() < 2 {
            out += "  none was found\n";
        }
        out
    }

    /// How the range was searched, and what can be missed.
    fn sampled(&self, stretches: &[(usize, usize)]) -> String {
        let range = self.found[self.found.len() - 1].0 - self.found[0].0;
        let Sampling { points, stated, precision } = self.sampling;
        let unit = |number: f64| format!("{number} {}", difference_symbol(self.unit)).trim_end().to_owned();
        #[expect(clippy::cast_precision_loss, reason = "counts of points are small")]
        let spacing = range / (points - 1) as f64;
        let spacing: f64 = format!("{spacing:.3e}").parse().unwrap_or(spacing);
        let breaks = if stretches.len() < 2 {
            String::new()
        } else {
            format!(" each break is bracketed to {};", unit(precision))
        };
        format!(
            "{points} points, {} apart{}, and {} more by halving; the whole ranking was searched at each;{breaks} a winner that \
             comes and goes within less than the distance of two points can be missed (--points).",
            unit(spacing),
            if stated { ", the value of the study" } else { "" },
            self.found.len().saturating_sub(points + usize::from(stated))
        )
    }

    /// One line for each stretch.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let (winners, stretches) = (self.winners(), stretches(&self.found));
        let mut sheet = Sheet::new();
        let (from, to) = (self.heading("from"), self.heading("to"));
        let headings = [
            from.as_str(),
            &to,
            "adequate",
            "winner",
            "cost at from",
            "cost at to",
            "heat margin at from [%]",
            "heat margin at to [%]",
            "binds at from",
            "binding margin at from [%]",
            "binds at to",
            "binding margin at to [%]",
            "why it ends",
            "cost jump",
            "name",
        ];
        sheet.line(headings.into_iter().map(str::to_owned))?;
        for (i, stretch) in stretches.iter().enumerate() {
            let ends = self.ends(*stretch);
            let outcomes = ends.map(|(_, outcome)| outcome);
            let each = |what: &dyn Fn(&Outcome) -> String| outcomes.map(|o| o.map_or_else(String::new, what));
            let number = |measure: Measure, value: f64| measure.number(value, self.system());
            let costs = each(&|o| number(Measure::Money, money(o.cost)));
            let margins = each(&|o| number(Measure::Percent, o.heat_margin));
            let binds = each(&|o| o.binds.map_or_else(String::new, |c| c.check.words().to_owned()));
            let by = each(&|o| {
                let margin = o.binds.and_then(|check| check.margin);
                margin.map_or_else(String::new, |margin| number(Measure::Percent, margin))
            });
            let letter = winners.letter(outcomes[0]);
            let mut cells = ends.map(|(value, _)| value.to_string()).to_vec();
            cells.push(super::measure::yes_no(letter.is_some()).to_owned());
            cells.push(letter.unwrap_or_default());
            cells.extend(costs.into_iter().chain(margins));
            cells.extend(binds.into_iter().zip(by).flat_map(|(binds, by)| [binds, by]));
            cells.push(self.why.get(i).cloned().unwrap_or_default());
            let next = stretches.get(i + 1).and_then(|next| jump(outcomes[1], self.ends(*next)[0].1));
            cells.push(next.map_or_else(String::new, |jump| fixed(jump.to_units(), 2)));
            cells.push(outcomes[0].map_or_else(String::new, |o| o.name.clone()));
            sheet.line(cells.into_iter())?;
        }
        sheet.bytes()
    }

    /// Everything as JSON: each value that was searched, the stretches, the breaks.
    pub fn json(&self, files: &[Input]) -> Json {
        let (winners, stretches) = (self.winners(), stretches(&self.found));
        let at = |i: usize| Json::Number(self.found[i].0);
        let mut entries: Vec<(&str, Json)> = vec![("kind", "varied".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.study.title.as_str().into()),
            ("requirement", self.requirement.name.as_str().into()),
            ("unit_of_values", self.unit.symbol.into()),
            ("points", self.sampling.points.into()),
            ("precision", self.sampling.precision.into()),
            (
                "searched",
                Json::list(self.found.iter().map(|(value, outcome)| {
                    let value =
                        [("value", Json::Number(*value)), ("value_si", self.value(*value).si().into())];
                    Json::object(value.into_iter().chain(winners.json(outcome.as_ref())))
                })),
            ),
            (
                "stretches",
                Json::list(stretches.iter().map(|(first, last)| {
                    let winner = winners.letter(self.found[*first].1.as_ref()).map_or(Json::Null, Json::Text);
                    Json::object([("from", at(*first)), ("to", at(*last)), ("winner", winner)])
                })),
            ),
            (
                "breaks",
                Json::list(stretches.windows(2).zip(&self.why).map(|(pair, why)| {
                    let jump = jump(self.found[pair[0].1].1.as_ref(), self.found[pair[1].0].1.as_ref());
                    Json::object([
                        ("last", at(pair[0].1)),
                        ("first", at(pair[1].0)),
                        ("cost_jump", jump.map_or(Json::Null, |jump| Json::Whole(jump.0))),
                        ("why", why.as_str().into()),
                    ])
                })),
            ),
        ]);
        Json::object(entries)
    }
}

/// What the cost changes by from one winner to the next.
fn jump(before: Option<&Outcome>, after: Option<&Outcome>) -> Option<Money> {
    let [before, after] = [before, after].map(|outcome| outcome.filter(|o| o.adequate).map(|o| o.cost.0));
    Some(Money(after? - before?))
}

/// The unit of a difference of two values.
fn difference_symbol(unit: Unit) -> &'static str {
    match unit.symbol {
        "degC" => "K",
        "bar abs" => "bar",
        "psi abs" => "psi",
        symbol => symbol,
    }
}
