//! Files scrambled at random: the readers say what is wrong, and neither panic nor hang.

use super::studies::{FULL, catalog, load};
use proptest::prelude::*;
use sumpwright::catalog::{PartKind, Reader};
use sumpwright::input::Diagnostics;
use sumpwright::units::Quantity;
use sumpwright::{profile, study};

const LOAD: &str = "step,duration [s],function,flow [L/min],pressure [bar],held [bar],line drop [bar],line flow [L/min]\n\
lift,8,boom,12,180,,2,10\nlift,,grapple,3,90,,,\nwait,4,,,,150,,\n";

const ENGINES: &str = "id,price,mass [kg],source,aspiration,rated power [kW],rated speed [rpm],torque curve [rpm:N.m],\
governed speed [rpm],idle speed [rpm],consumption [g/kWh],fuel map [rpm:N.m:g/kWh],fuel density [kg/m3],\
alternator current [A]\nD-30,5400,180,own test,diesel,30,2800,1200:95 1800:112 2800:102,2600,1100,,\
1500:40:280 1500:90:240 2600:40:300 2600:90:255,840,40\n";

/// A text with some of its pieces cut out or replaced by what breaks files.
fn scrambled(text: &'static str) -> impl Strategy<Value = Vec<u8>> {
    let pieces = prop::sample::select(vec![
        "", "\"", ",", ";", "\n", "\r\n", "[", "]", "[[", "=", "#", ":", " ", "\u{feff}", "\0", "\u{e9}",
        "-1", "0", "1e400", "NaN", "1,5", "'''", "{", ".",
    ]);
    let cut = (0..text.len(), 0..12_usize, pieces, any::<bool>());
    prop::collection::vec(cut, 1..6).prop_map(move |cuts| {
        let mut bytes = text.as_bytes().to_vec();
        for (at, length, piece, invalid) in cuts {
            let from = at.min(bytes.len());
            let to = (from + length).min(bytes.len());
            bytes.splice(from..to, piece.bytes().chain((invalid && length == 7).then_some(0xFF)));
        }
        bytes
    })
}

proptest! {
    #[test]
    fn studies(bytes in scrambled(FULL)) {
        let _ = study::files(&bytes, "study.toml");
        if let Err(diagnostics) = study::read(&bytes, "study.toml", &catalog(), Some(load()), Diagnostics::default()) {
            prop_assert!(!diagnostics.sorted().is_empty());
        }
    }

    #[test]
    fn profiles(bytes in scrambled(LOAD)) {
        match profile::read(&bytes, "load.csv") {
            Ok(profile) => {
                for step in profile.steps {
                    prop_assert!(step.duration.si() > 0.0);
                    for function in step.functions.iter() {
                        prop_assert!(function.flow.si() > 0.0 && function.load_pressure.si() >= 0.0);
                    }
                }
            }
            Err(diagnostics) => prop_assert!(!diagnostics.sorted().is_empty()),
        }
    }

    #[test]
    fn catalogs(bytes in scrambled(ENGINES)) {
        let mut reader = Reader::default();
        for kind in PartKind::ALL {
            reader.read(kind, &bytes, "engines.csv");
        }
        prop_assert!(!reader.finish().1.is_empty(), "no file is good for all kinds");
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = study::files(&bytes, "study.toml");
        let _ = profile::read(&bytes, "load.csv");
        let mut reader = Reader::default();
        reader.read(PartKind::Pumps, &bytes, "pumps.csv");
        let _ = reader.finish();
    }
}
