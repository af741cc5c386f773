//! What a row of each kind states. Each function names its columns once: that is also their description in `formats`.

use super::columns::Cells;
use crate::input::{Column, Content, Need};
use crate::parts::accumulator::{self, Accumulator, Separator};
use crate::parts::cooler::{self, Cooler, CoolerRow};
use crate::parts::filter::{self, Filter};
use crate::parts::pump::{self, Pump, PumpRow};
use crate::parts::reservoir::{self, Reservoir};
use crate::parts::valves::{self, ReliefValve, UnloadingValve};
use crate::parts::{self, Listing};
use crate::units::Quantity;

/// What every kind states.
pub(super) fn listing(cells: &mut impl Cells) -> Listing {
    let listing = Listing {
        id: cells.text("id", Content::Id, "name of the part, once within its kind"),
        price: cells.money("price", "price of one, in the currency of all catalogs of the study"),
        mass: cells.quantity(&parts::MASS),
        source: cells.text("source", Content::Text, "where the numbers of the row come from"),
        space: cells.quantity_if(&parts::SPACE),
        owned: cells.count_if("owned", "0", "how many are there already: they cost nothing").unwrap_or(0),
        stock: cells.count_if("stock", "no limit", "how many can be had at most, the owned ones included"),
        line: cells.line(),
    };
    cells.take(Column {
        name: "note",
        content: Content::Text,
        need: Need::Optional("nothing"),
        meaning: "free text for readers of the file",
    });
    if listing.stock.is_some_and(|stock| stock < listing.owned) {
        cells.refuse(&["stock"], "at least as many as are owned", "the owned ones count as stock");
    }
    listing
}

pub(super) fn pump(cells: &mut impl Cells) -> Result<Pump, String> {
    let row = PumpRow {
        listing: listing(cells),
        displacement: cells.quantity(&pump::DISPLACEMENT),
        rated_speed: cells.quantity(&pump::RATED_SPEED),
        rated_pressure: cells.quantity(&pump::RATED_PRESSURE),
        rated_viscosity: cells.quantity(&pump::RATED_VISCOSITY),
        rated_density: cells.quantity_or(&pump::RATED_DENSITY),
        volumetric_efficiency: cells.quantity(&pump::VOLUMETRIC_EFFICIENCY),
        overall_efficiency: cells.quantity(&pump::OVERALL_EFFICIENCY),
        viscous_share: cells.quantity_or(&pump::VISCOUS_SHARE),
        highest_pressure: cells.quantity(&pump::HIGHEST_PRESSURE),
        highest_speed: cells.quantity(&pump::HIGHEST_SPEED),
        lowest_speed: cells.quantity_if(&pump::LOWEST_SPEED),
        highest_torque: cells.quantity_if(&pump::HIGHEST_TORQUE),
        lowest_inlet: cells.quantity_if(&pump::LOWEST_INLET),
        compensator: cells.quantity_if(&pump::SET_PRESSURE),
    };
    if row.overall_efficiency > row.volumetric_efficiency {
        let accepted = "at most the volumetric efficiency";
        cells.refuse(
            &["overall efficiency"],
            accepted,
            "overall = volumetric x mechanical: are the two swapped?",
        );
    }
    if row.lowest_speed.is_some_and(|lowest| lowest > row.highest_speed) {
        cells.refuse(&["lowest speed"], "at most the highest speed", "are the two swapped?");
    }
    if row.compensator.is_some_and(|set| set > row.highest_pressure) {
        cells.refuse(&["set pressure"], "at most the highest pressure", "");
    }
    Pump::new(row)
}

pub(super) fn accumulator(cells: &mut impl Cells) -> Result<Accumulator, String> {
    Accumulator {
        listing: listing(cells),
        gas_volume: cells.quantity(&accumulator::GAS_VOLUME),
        highest_pressure: cells.quantity(&accumulator::HIGHEST_PRESSURE),
        separator: match cells.text(
            "separator",
            Content::Word(&["bladder", "diaphragm", "piston"]),
            "what parts gas and oil: it limits highest pressure / precharge",
        ) {
            bladder if bladder == "bladder" => Separator::Bladder,
            diaphragm if diaphragm == "diaphragm" => Separator::Diaphragm,
            _ => Separator::Piston,
        },
        ratio_limit: cells.quantity_if(&accumulator::RATIO_LIMIT).map(Quantity::si),
        time_constant: cells.quantity_if(&accumulator::TIME_CONSTANT),
    }
    .checked()
}

pub(super) fn cooler(cells: &mut impl Cells) -> Result<Cooler, String> {
    Cooler::new(CoolerRow {
        listing: listing(cells),
        rated_heat: cells.quantity(&cooler::RATED_HEAT),
        rated_difference: cells.quantity(&cooler::RATED_DIFFERENCE),
        rated_oil_flow: cells.quantity(&cooler::RATED_OIL_FLOW),
        rated_air_flow: cells.quantity(&cooler::RATED_AIR_FLOW),
        rated_viscosity: cells.quantity(&cooler::RATED_VISCOSITY),
        rated_oil_density: cells.quantity_or(&cooler::RATED_OIL_DENSITY),
        rated_oil_heat: cells.quantity_or(&cooler::RATED_OIL_HEAT),
        rated_air_density: cells.quantity_or(&cooler::RATED_AIR_DENSITY),
        rated_air_heat: cells.quantity_or(&cooler::RATED_AIR_HEAT),
        rated_drop: cells.quantity_if(&cooler::RATED_DROP),
        bypass_drop: cells.quantity_if(&cooler::BYPASS_DROP),
        highest_flow: cells.quantity(&cooler::HIGHEST_FLOW),
        highest_pressure: cells.quantity(&cooler::HIGHEST_PRESSURE),
        fan_current: cells.quantity(&cooler::FAN_CURRENT),
        fan_voltage: cells.quantity(&cooler::FAN_VOLTAGE),
    })
}

pub(super) fn reservoir(cells: &mut impl Cells) -> Result<Reservoir, String> {
    let reservoir = Reservoir {
        listing: listing(cells),
        volume: cells.quantity(&reservoir::VOLUME),
        wall_area: cells.quantity_if(&reservoir::WALL_AREA),
        level_band: cells.quantity(&reservoir::LEVEL_BAND),
        wall_mass: cells.quantity_if(&reservoir::WALL_MASS),
    };
    if reservoir.level_band > reservoir.volume {
        cells.refuse(&["level band"], "at most the volume", "");
    }
    reservoir.checked()
}

pub(super) fn filter(cells: &mut impl Cells) -> Result<Filter, String> {
    Filter {
        listing: listing(cells),
        rated_flow: cells.quantity(&filter::RATED_FLOW),
        rated_viscosity: cells.quantity(&filter::RATED_VISCOSITY),
        rated_density: cells.quantity_or(&filter::RATED_DENSITY),
        housing_drop: cells.quantity(&filter::HOUSING_DROP),
        element_drop: cells.quantity(&filter::ELEMENT_DROP),
        bypass_drop: cells.quantity(&filter::BYPASS_DROP),
    }
    .checked()
}

pub(super) fn relief_valve(cells: &mut impl Cells) -> Result<ReliefValve, String> {
    let valve = ReliefValve {
        listing: listing(cells),
        rated_flow: cells.quantity(&valves::RELIEF_RATED_FLOW),
        lowest_setting: cells.quantity(&valves::RELIEF_LOWEST_SETTING),
        highest_setting: cells.quantity(&valves::RELIEF_HIGHEST_SETTING),
        override_share: cells.quantity_if(&valves::RELIEF_OVERRIDE_SHARE).map(Quantity::si),
    };
    if valve.lowest_setting > valve.highest_setting {
        cells.refuse(&["lowest setting"], "at most the highest setting", "are the two swapped?");
    }
    valve.checked()
}

pub(super) fn unloading_valve(cells: &mut impl Cells) -> Result<UnloadingValve, String> {
    UnloadingValve {
        listing: listing(cells),
        rated_flow: cells.quantity(&valves::UNLOADING_RATED_FLOW),
        highest_pressure: cells.quantity(&valves::UNLOADING_HIGHEST_PRESSURE),
        open_drop: cells.quantity_if(&valves::UNLOADING_OPEN_DROP),
    }
    .checked()
}
