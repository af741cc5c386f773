//! The settings that a study changes, and the schemes that it tries.

use super::{Scheme, Settings, StagingRule, keys};
use crate::input::TomlSection;
use crate::units::{Pressure, Quantity, System};

/// Reads `[settings]`: every line of the table may be changed.
pub(super) fn settings(section: &mut TomlSection<'_, '_>) -> Settings {
    let mut settings = Settings::default();
    let mut refused: Vec<&str> = Vec::new();
    for line in Settings::table() {
        let before = section.count();
        let key = section.called_before(line.key, line.former);
        if let Some(text) = section.written_if(key, line.units, line.default)
            && let Err(accepted) = settings.set(line.key, &text)
        {
            section.refuse(key, &accepted.unwrap_or_default(), &format!("the default is {}", line.default));
        }
        if section.count() > before {
            refused.push(line.key);
        }
    }
    if settings.repeat_limit.si().fract() > 0.0 {
        let key = if section.has("repeat_limit") { "repeat_limit" } else { "closing_cycles" };
        section.refuse(key, "a whole number", "");
    }
    let show = System::Metric;
    let (start, running, limit) = (settings.coldest_start, settings.coldest_running, settings.oil_limit);
    let (thin, thick) = (settings.lowest_viscosity, settings.start_viscosity);
    let orders = [
        (
            start > running,
            "coldest_start",
            "coldest_running",
            ["at most", "at least"],
            show.show(start),
            show.show(running),
        ),
        (
            running >= limit,
            "coldest_running",
            "oil_limit",
            ["less than", "more than"],
            show.show(running),
            show.show(limit),
        ),
        (
            thin >= thick,
            "lowest_viscosity",
            "start_viscosity",
            ["less than", "more than"],
            show.show(thin),
            show.show(thick),
        ),
    ];
    for (wrong, low, high, [less, more], low_value, high_value) in orders {
        if wrong && !refused.contains(&low) && !refused.contains(&high) {
            if section.has(low) {
                section.refuse(low, &format!("{less} {high}"), &format!("{high} is {high_value}"));
            } else {
                section.refuse(high, &format!("{more} {low}"), &format!("{low} is {low_value}"));
            }
        }
    }
    settings
}

/// Most pumps on one engine.
const MOST_PUMPS: f64 = 4.0;

/// Reads one `[[scheme]]`; `None` where its rule is not known.
pub(super) fn scheme(section: &mut TomlSection<'_, '_>) -> Option<Scheme> {
    const RULES: [(&str, StagingRule); 4] = [
        ("continuous", StagingRule::Continuous),
        ("together", StagingRule::Together),
        ("staggered", StagingRule::Staggered),
        ("matched", StagingRule::Matched),
    ];
    let rule = section.word("rule", &RULES);
    let cut_out: Option<Pressure> = section.quantity_if(keys::CUT_OUT.name, &keys::CUT_OUT.range);
    let cut_in: Option<Pressure> = section.quantity_if(keys::CUT_IN.name, &keys::CUT_IN.range);
    let stagger: Option<Pressure> = section.quantity_if(keys::STAGGER.name, &keys::STAGGER.range);
    let idle = section.flag_if("idle").unwrap_or(false);
    let rule = rule?;
    let name = RULES.iter().find(|known| known.1 == rule).map_or("", |known| known.0);
    let (must, may): (&[&str], &[&str]) = match rule {
        StagingRule::Continuous => (&[], &[]),
        StagingRule::Together => (&["cut_out", "cut_in"], &[]),
        StagingRule::Staggered => (&["cut_out", "cut_in", "stagger"], &[]),
        StagingRule::Matched => (&[], &["cut_out", "cut_in"]),
    };
    for key in ["cut_out", "cut_in", "stagger"] {
        if must.contains(&key) && !section.has(key) {
            section.refuse_missing(
                key,
                "a pressure, such as \"150 bar\"",
                &format!("the rule {name} needs it"),
            );
        } else if section.has(key) && !must.contains(&key) && !may.contains(&key) {
            section.refuse(
                key,
                &format!("a scheme `{name}` without {key}"),
                "delete the line, or choose another rule",
            );
        }
    }
    if rule == StagingRule::Matched {
        section.together(&["cut_out", "cut_in"]);
    }
    if let (Some(cut_in), Some(step)) = (cut_in, stagger)
        && step.si() * (MOST_PUMPS - 1.0) >= cut_in.si()
    {
        let hint = "each switch acts one stagger below the one before: with 4 pumps the last at cut_in - 3 x stagger";
        section.refuse("stagger", "less than a third of cut_in", hint);
    }
    Some(Scheme { rule, cut_out, cut_in, stagger: stagger.unwrap_or_default(), idle })
}
