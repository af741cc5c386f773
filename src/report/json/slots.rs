//! The slots of a study as JSON, SI: the parts that names are made of, and what each part of a name says without any
//! simulation, for programs that make up names themselves.

use super::Json;
use super::inputs;
use super::parts::{part, pump, scheme};
use crate::candidate::{Choices, Names};
use crate::study::Study;
use crate::units::{Quantity, Speed};

/// The slots.
pub fn slots(study: &Study, names: &Names) -> Json {
    let slots = &study.slots;
    let pumps = choices(&names.pumps, |c| pump(&slots.pumps[c.row], slots.drive_ratios[c.ratio], None));
    let engines = choices(&names.engines, |(row, speed)| {
        let engine = &slots.engines[row];
        let speed: Speed = slots.engine_speeds.get(speed).copied().unwrap_or(engine.governed_speed);
        let figures = [
            ("speed", speed.si().into()),
            ("idle_speed", engine.idle_speed.si().into()),
            ("alternator_current", engine.alternator_current.si().into()),
        ];
        part(&engine.listing, figures)
    });
    let reliefs = choices(&names.reliefs, |(row, setting)| {
        let valve = &slots.relief_valves[row];
        let setting = slots.relief_settings[setting];
        let figures = [
            ("setting", setting.si().into()),
            ("cracking", valve.cracking(setting, study.settings.pressure_override.si()).si().into()),
            ("rated_flow", valve.rated_flow.si().into()),
            ("lowest_setting", valve.lowest_setting.si().into()),
            ("highest_setting", valve.highest_setting.si().into()),
        ];
        part(&valve.listing, figures)
    });
    let accumulators = choices(&names.accumulators, |choice| {
        choice.map_or(Json::Null, |accumulators| {
            let accumulator = &slots.accumulators[accumulators.row];
            let figures = [
                ("count", accumulators.count.into()),
                ("precharge", slots.precharges[accumulators.precharge].si().into()),
                ("gas_volume_of_one", accumulator.gas_volume.si().into()),
                ("highest_pressure", accumulator.highest_pressure.si().into()),
            ];
            part(&accumulator.listing, figures)
        })
    });
    let coolers = choices(&names.coolers, |choice| {
        choice.map_or(Json::Null, |(row, count)| {
            let cooler = &slots.coolers[row].row;
            let figures = [
                ("count", count.into()),
                ("rated_heat", cooler.rated_heat.si().into()),
                ("rated_difference", cooler.rated_difference.si().into()),
                ("highest_flow", cooler.highest_flow.si().into()),
                ("highest_pressure", cooler.highest_pressure.si().into()),
                ("fan_current", cooler.fan_current.si().into()),
                ("fan_voltage", cooler.fan_voltage.si().into()),
            ];
            part(&cooler.listing, figures)
        })
    });
    let reservoirs = choices(&names.reservoirs, |row| {
        let reservoir = &slots.reservoirs[row];
        let oil = reservoir.oil_volume(study.settings.fill.si());
        let figures = [("oil_volume", oil.si().into()), ("level_band", reservoir.level_band.si().into())];
        part(&reservoir.listing, figures)
    });
    let filters = choices(&names.filters, |(row, count)| {
        let filter = &slots.filters[row];
        part(&filter.listing, [("count", count.into()), ("rated_flow", filter.rated_flow.si().into())])
    });
    let valves = slots.unloading_valves.iter().map(|valve| {
        let figures = [
            ("rated_flow", valve.rated_flow.si().into()),
            ("highest_pressure", valve.highest_pressure.si().into()),
        ];
        part(&valve.listing, figures)
    });
    Json::object([
        ("pump_counts", Json::list(slots.pump_counts.iter().copied())),
        ("pumps", pumps),
        ("engines", engines),
        ("reliefs", reliefs),
        ("schemes", choices(&names.schemes, |i| scheme(&slots.schemes[i]))),
        ("stores", accumulators),
        ("coolers", coolers),
        ("reservoirs", reservoirs),
        ("filters", filters),
        ("unloading_valves", Json::list(valves)),
        ("study", inputs::study(study)),
        ("settings", inputs::settings(&study.settings)),
        ("profile", inputs::profile(study, 0..study.profile.steps.len())),
    ])
}

/// Name and part of each choice, in the order of the slot.
fn choices<T: Copy>(choices: &Choices<T>, facts: impl Fn(T) -> Json) -> Json {
    let one = |(name, choice): &(String, T)| {
        Json::object([("name", name.as_str().into()), ("facts", facts(*choice))])
    };
    Json::list(choices.all().iter().map(one))
}
