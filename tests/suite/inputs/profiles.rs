use super::said;
use sumpwright::profile;

const HEAD: &str = "step,duration [s],function,flow [L/min],pressure [bar],return ratio,work share,held [bar],line drop [bar],line flow [L/min]\n";

#[test]
fn scratch() {
    let show = |name: &str, text: &[u8]| match profile::read(text, "load.csv") {
        Ok(p) => println!("=== {name}: ok {p:?}"),
        Err(p) => println!("=== {name}\n{}", said(p)),
    };
    let rows = |name: &str, text: &str| show(name, format!("{HEAD}{text}").as_bytes());
    show("empty", b"");
    show("blank", b" \n\n");
    show("nul", b"step,\0\n");
    show("utf8", b"step\nh\xe9\n");
    show("utf16", b"\xff\xfes\0");
    show("semi", b"step;duration [s];function;flow [L/min];pressure [bar]\na;1,5;;;\n");
    show("tab", b"step\tduration [s]\tfunction\tflow [L/min]\tpressure [bar]\na\t1,5\t\t\t\n");
    show("head only", HEAD.as_bytes());
    show("heads", b"stp,duration,function,flow [l/min],pressure (bar),flow [L/min],,color,step [s],held []\n1,2,3,4,5,6,7,8,9,10\n");
    show("missing", b"step,flow [L/min],line drop [bar]\n\n\n a,1,1\n b,x,1\n");
    rows("good", "lift,8,boom,12,180,,,,,\nlift,,grapple,3,90,0.5,0,,2,10\n,4,,,,,,150,,\n");
    rows(
        "numbers",
        "a,NaN,b,inf,-5,20,2,0,-1,0\nb,0,b,\"1,5\",250 bar,abc,1e999,2500,1,\nc,,b,5,,,,,,\nd,1,,5,,,,,,\ne,1,f,,,,,,,\n",
    );
    rows("ragged", "a,1,b\na,1,b,1,5,1,1,1,1,1,5,6\n,,,,,,,,,\n\"a,1,b,1,5,1,1\n");
    rows("steps", "a,1,b,1,5,1,1,100,1,1\na,2,c,1,5,1,1,110,1,1\na,1,b,1,5,,,,,\n");
    let mut many = String::new();
    for _ in 0..1000 {
        many.push_str("a,1,b,-1,5,,,,,\n");
    }
}
