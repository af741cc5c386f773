//! What a row of each kind states. Each function names its columns once: that is also their description in `formats`.

use super::columns::Cells;
use crate::parts::Listing;
use crate::parts::accumulator::{Accumulator, Separator};
use crate::parts::cooler::{Cooler, CoolerRow};
use crate::parts::filter::Filter;
use crate::parts::pump::{Pump, PumpRow};
use crate::parts::reservoir::Reservoir;
use crate::parts::valves::{ReliefValve, UnloadingValve};
use crate::reading::{Column, Content, Need, Range};
use crate::units::{Quantity, Ratio};

/// What every kind states.
pub(super) fn listing(cells: &mut impl Cells) -> Listing {
    let listing = Listing {
        id: cells.text("id", Content::Id, "name of the part, once within its kind"),
        price: cells.money("price", "price of one, in the currency of all catalogs of the study"),
        mass: cells.quantity("mass", Range::POSITIVE, "mass of one, without oil"),
        source: cells.text("source", Content::Text, "where the numbers of the row come from"),
        space: cells.quantity_if(
            "space",
            Range::POSITIVE,
            "not counted",
            "installed volume of one (its envelope)",
        ),
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
        displacement: cells.quantity(
            "displacement",
            Range::DISPLACEMENT,
            "volume delivered per turn without loss",
        ),
        rated_speed: cells.quantity("rated speed", Range::SPEED, "speed at which the efficiencies hold"),
        rated_pressure: cells.quantity(
            "rated pressure",
            Range::PRESSURE,
            "pressure difference at which the efficiencies hold",
        ),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the efficiencies hold",
        ),
        rated_density: cells.quantity_or(
            "rated density",
            Range::DENSITY,
            "870 kg/m3",
            "density at which the efficiencies hold",
        ),
        volumetric_efficiency: cells.quantity(
            "volumetric efficiency",
            Range::VOLUMETRIC_EFFICIENCY,
            "flow / flow without loss at the rated point",
        ),
        overall_efficiency: cells.quantity(
            "overall efficiency",
            Range::OVERALL_EFFICIENCY,
            "hydraulic power / shaft power at the rated point",
        ),
        viscous_share: cells.quantity_or(
            "viscous share",
            Range::SHARE,
            "0.3",
            "viscous share of the torque loss at the rated point",
        ),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest working pressure"),
        highest_speed: cells.quantity("highest speed", Range::SPEED, "highest speed"),
        lowest_speed: cells.quantity_if("lowest speed", Range::SPEED_OR_ZERO, "no limit", "lowest speed"),
        highest_torque: cells.quantity_if(
            "highest torque",
            Range::POSITIVE,
            "not checked",
            "highest torque through the shaft: its own and that of all pumps behind it",
        ),
        lowest_inlet: cells.quantity_if(
            "lowest inlet",
            Range::INLET,
            "setting `lowest_inlet`",
            "lowest absolute pressure at the inlet",
        ),
        compensator: cells.quantity_if(
            "set pressure",
            Range::PRESSURE,
            "fixed displacement",
            "pressure at which a pressure-compensated pump gives way",
        ),
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
        gas_volume: cells.quantity(
            "gas volume",
            Range::VOLUME,
            "volume of the gas without oil, not the nominal size",
        ),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest working pressure"),
        separator: match cells.text(
            "separator",
            Content::Word(&["bladder", "diaphragm", "piston"]),
            "what parts gas and oil: it limits highest pressure / precharge",
        ) {
            bladder if bladder == "bladder" => Separator::Bladder,
            diaphragm if diaphragm == "diaphragm" => Separator::Diaphragm,
            _ => Separator::Piston,
        },
        ratio_limit: cells
            .quantity_if::<Ratio>(
                "ratio limit",
                Range::PRESSURE_RATIO,
                "that of the separator: bladder 4, diaphragm 8 up to 2 L and 4 above, piston none",
                "highest working pressure / precharge, both absolute, at most",
            )
            .map(Quantity::si),
        time_constant: cells.quantity_if(
            "time constant",
            Range::POSITIVE,
            "30 s x (gas volume / 10 L)^(1/3)",
            "thermal time constant of the gas",
        ),
    }
    .checked()
}

pub(super) fn cooler(cells: &mut impl Cells) -> Result<Cooler, String> {
    Cooler::new(CoolerRow {
        listing: listing(cells),
        rated_heat: cells.quantity("rated heat", Range::POSITIVE, "heat rejected at the rated point"),
        rated_difference: cells.quantity(
            "rated difference",
            Range::TEMPERATURE_DIFFERENCE,
            "oil inlet less air inlet temperature at the rated point",
        ),
        rated_oil_flow: cells.quantity("rated oil flow", Range::FLOW, "oil flow at the rated point"),
        rated_air_flow: cells.quantity("rated air flow", Range::AIR_FLOW, "air flow at the rated point"),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the drop holds",
        ),
        rated_oil_density: cells.quantity_or(
            "rated oil density",
            Range::DENSITY,
            "870 kg/m3",
            "density of the oil at the rated point",
        ),
        rated_oil_heat: cells.quantity_or(
            "rated oil heat",
            Range::SPECIFIC_HEAT,
            "2000 J/(kg.K)",
            "specific heat of the oil at the rated point",
        ),
        rated_air_density: cells.quantity_or(
            "rated air density",
            Range::AIR_DENSITY,
            "1.2 kg/m3",
            "density of the air at the rated point",
        ),
        rated_air_heat: cells.quantity_or(
            "rated air heat",
            Range::SPECIFIC_HEAT,
            "1007 J/(kg.K)",
            "specific heat of the air",
        ),
        rated_drop: cells.quantity_if(
            "rated drop",
            Range::PRESSURE,
            "not checked",
            "pressure drop of the oil at the rated point",
        ),
        bypass_drop: cells.quantity_if(
            "bypass drop",
            Range::PRESSURE,
            "no bypass",
            "pressure drop at which the bypass opens",
        ),
        highest_flow: cells.quantity("highest flow", Range::FLOW, "highest oil flow"),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest pressure of the oil"),
        fan_current: cells.quantity("fan current", Range::NOT_NEGATIVE, "electric current of the fans"),
        fan_voltage: cells.quantity("fan voltage", Range::VOLTAGE, "voltage of the fans"),
    })
}

pub(super) fn reservoir(cells: &mut impl Cells) -> Result<Reservoir, String> {
    let reservoir = Reservoir {
        listing: listing(cells),
        volume: cells.quantity("volume", Range::VOLUME, "whole volume"),
        wall_area: cells.quantity_if(
            "wall area",
            Range::POSITIVE,
            "5 volume^(2/3) x fill",
            "wetted wall that gives off heat",
        ),
        level_band: cells.quantity("level band", Range::VOLUME, "volume between lowest and highest level"),
        wall_mass: cells.quantity_if(
            "wall mass",
            Range::NOT_NEGATIVE,
            "the mass",
            "steel that warms with the oil",
        ),
    };
    if reservoir.level_band > reservoir.volume {
        cells.refuse(&["level band"], "at most the volume", "");
    }
    reservoir.checked()
}

pub(super) fn filter(cells: &mut impl Cells) -> Result<Filter, String> {
    Filter {
        listing: listing(cells),
        rated_flow: cells.quantity(
            "rated flow",
            Range::FLOW,
            "flow at which the drops hold, and the highest flow",
        ),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the element's drop holds",
        ),
        rated_density: cells.quantity_or(
            "rated density",
            Range::DENSITY,
            "870 kg/m3",
            "density at which the drops hold",
        ),
        housing_drop: cells.quantity(
            "housing drop",
            Range::PRESSURE_OR_ZERO,
            "pressure drop of the housing at the rated flow",
        ),
        element_drop: cells.quantity(
            "element drop",
            Range::PRESSURE_OR_ZERO,
            "pressure drop of the clean element at rated flow and viscosity",
        ),
        bypass_drop: cells.quantity(
            "bypass drop",
            Range::PRESSURE,
            "pressure drop at which the bypass opens",
        ),
    }
    .checked()
}

pub(super) fn relief_valve(cells: &mut impl Cells) -> Result<ReliefValve, String> {
    let valve = ReliefValve {
        listing: listing(cells),
        rated_flow: cells.quantity("rated flow", Range::FLOW, "flow that it passes at its setting"),
        lowest_setting: cells.quantity("lowest setting", Range::PRESSURE, "lowest setting"),
        highest_setting: cells.quantity("highest setting", Range::PRESSURE, "highest setting"),
        override_share: cells
            .quantity_if::<Ratio>(
                "override share",
                Range::OVERRIDE_SHARE,
                "setting `override_share`",
                "(setting - cracking pressure) / setting",
            )
            .map(Quantity::si),
    };
    if valve.lowest_setting > valve.highest_setting {
        cells.refuse(&["lowest setting"], "at most the highest setting", "are the two swapped?");
    }
    valve.checked()
}

pub(super) fn unloading_valve(cells: &mut impl Cells) -> Result<UnloadingValve, String> {
    UnloadingValve {
        listing: listing(cells),
        rated_flow: cells.quantity("rated flow", Range::FLOW, "highest flow"),
        highest_pressure: cells.quantity(
            "highest pressure",
            Range::PRESSURE,
            "highest pressure on the closed side",
        ),
        open_drop: cells.quantity_if(
            "open drop",
            Range::PRESSURE_OR_ZERO,
            "setting `unloading_drop`",
            "pressure drop when open, at the rated flow",
        ),
    }
    .checked()
}
