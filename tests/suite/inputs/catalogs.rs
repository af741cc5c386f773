use super::said;
use sumpwright::catalog::{Kind, Reader};

#[test]
fn scratch2() {
    let show = |name: &str, kind: Kind, text: &str| {
        let mut reader = Reader::default();
        reader.read(kind, text.as_bytes(), "parts.csv");
        let (catalog, problems) = reader.finish();
        println!(
            "=== {name}: {} rows, refused {:?}\n{}",
            catalog.listings().len(),
            catalog.refused,
            said(problems)
        );
    };
    const PUMP: &str = "id,price,mass [kg],source,displacement [cm3/rev],rated speed [rpm],rated pressure [bar],rated viscosity [mm2/s],volumetric efficiency [%],overall efficiency [%],highest pressure [bar],highest speed [rpm],lowest speed [rpm],set pressure [bar],owned,stock\n";
    show(
        "pumps",
        Kind::Pumps,
        &format!(
            "{PUMP}P-1,100,3,x,16,1500,200,32,95,85,250,3000,500,,,\nP-1,100.005,0,,16000,15,200,0,85,95,250,3000,5000,300,3,2\nP 2,-5,-1,x,16,1500,200,32,105,85,250,3000,500,,1.5,-2\nP-3,12;5,1,x,16,1500,5,32,90,85,250,3000,500,,,\n,5,1,x,16,1500,5,32,90,85,250,3000,500,,,\n"
        ),
    );
    show(
        "share",
        Kind::Pumps,
        &format!("{}P-1,100,3,x,16,1500,200,32,95,85,250,3000,500,,,\n", PUMP.replace(" [%]", "")),
    );
    const ENGINE: &str = "id,price,mass [kg],source,aspiration,rated power [kW],rated speed [rpm],torque curve [rpm:N.m],governed speed [rpm],idle speed [rpm],consumption [g/kWh],fuel map [rpm:N.m:g/kWh],fuel density [kg/m3],alternator current [A]\n";
    show(
        "engines",
        Kind::Engines,
        &format!(
            "{ENGINE}\
E-1,1,1,x,diesel,30,2800,,2600,1000,250,,840,50\n\
E-2,1,1,x,disel,30,2800,1200:60 1000:70,2600,3000,,,840,50\n\
E-3,1,1,x,diesel,30,2800,1200:60 2700,2600,3000,250,1:1:1,840,50\n\
E-4,1,1,x,diesel,30,2800,1200:60 2700:70,2800,1000,,1000:50:260 1000:60:250 2000:50:240,840,50\n\
E-5,1,1,x,diesel,30,2800,1200:60 2700:-70,2800,1000,,1000:50:260 1000:60:250 2000:50:240 2000:60:230,840,50\n\
E-6,1,1,x,diesel,30,2800,,2800,1000,,1000:50:260 1000:60:250 2000:50:240 2000:60:230,840,50\n"
        ),
    );
    show(
        "engine heads",
        Kind::Engines,
        "id,price,mass [kg],source,aspiration,rated power [kW],rated speed [rpm],torque curve [rpm],governed speed [rpm],idle speed [rpm],fuel density [kg/m3],alternator current [A]\n",
    );
    show(
        "acc",
        Kind::Accumulators,
        "id,price,mass [kg],source,gas volume [L],highest pressure [bar],separator\nA,1,1,x,10,330,balloon\n",
    );
    show(
        "relief",
        Kind::ReliefValves,
        "id,price,mass [kg],source,rated flow [L/min],lowest setting [bar],highest setting [bar],override share\nR,1,1,x,60,250,100,70\n",
    );
    show(
        "inlet",
        Kind::Pumps,
        "id,price,mass [lb],source,displacement [in3/rev],rated speed [rpm],rated pressure [bar abs],rated viscosity [cst],lowest inlet [bar],volumetric effciency [%]\n",
    );
}
