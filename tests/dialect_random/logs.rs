//! Damaged logs: told, or they tell of nothing that did not happen.

use super::{Dice, FILE, damage};
use crate::dialect_common::{cut, mark, small_program, stop, trim};
use coilwright::dialect::log::{Given, LogReader, follow};
use coilwright::library::read_log_format;
use coilwright::program::Program;
use coilwright::quantity::{SourceFile, Sources};
use proptest::prelude::*;

const READ_AS: &str = include_str!("../../fixtures/diagnostics/base/log.toml");

fn reader() -> LogReader {
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new("log.toml", READ_AS));
    let (format, found) = read_log_format(&sources, file);
    assert!(found.is_empty(), "{found:#?}");
    LogReader::prove(&format.unwrap()).unwrap()
}

fn program() -> Given {
    let mut events = vec![trim(12_000)];
    for serial in 1..=12 {
        let at = i64::from(serial) * 2_400_000;
        events.extend([stop(at - 900_000, &[(0, 1)]), mark(at, "N1"), cut(at, serial)]);
    }
    let program = Program { events, ..small_program() };
    Given { run: 0, file: "KP071.TXT".into(), program }
}

/// A log in columns: texts of one width, tenths without a point.
#[test]
fn a_log_may_have_columns() {
    let columns = READ_AS
        .replace("decimals = 1", "last-place = 0.1\nwidth = 9")
        .replace("refuse = \" \"", "width = 12")
        .replace("format = \"plain\" }", "format = \"plain\" }, \"on shift\"");
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new("log.toml", &*columns));
    let (format, found) = read_log_format(&sources, file);
    assert!(found.is_empty(), "{found:#?}");
    let reader = LogReader::prove(&format.unwrap()).unwrap();
    let text =
        "07:02:51 begin KP07-1      on shift\n07:03:10 piece 1\n07:08:00 rest at 000024000\n";
    let read = reader.read(FILE, text).unwrap();
    assert_eq!(read[0].program.as_deref(), Some("KP07-1"));
    let program = program();
    assert_eq!(follow(&reader, &read, &[program]).unwrap().after.0.0, 1);
    for (old, new) in [("KP07-1      on", "KP07-1 on"), ("000024000", "2400.0"), ("on shift", "")] {
        assert!(reader.read(FILE, &text.replace(old, new)).is_err(), "{new}");
    }
}

#[test]
fn a_damaged_log_tells_of_no_piece_that_did_not_drop() {
    let (reader, program) = (reader(), program());
    let mut text = "07:02:51 begin KP07-1\n07:02:52 note tension 4\n".to_string();
    for serial in 1..=7 {
        text.push_str(&format!("07:{serial:02}:10 piece {serial}\n"));
    }
    text.push_str("07:08:00 rest at 16800.0\n");
    let whole = reader.read(FILE, &text).unwrap();
    assert_eq!(follow(&reader, &whole, std::slice::from_ref(&program)).unwrap().after.0.0, 7);
    let (mut told, mut less, mut same) = (0, 0, 0);
    for seed in 0..30_000 {
        let mut dice = Dice(seed);
        let bytes = damage(&mut dice, text.as_bytes());
        let shown = reader.text(&bytes).into_owned();
        let read = reader.read(FILE, &shown).map_err(|found| found[0].clone());
        let read = read.and_then(|read| {
            follow(&reader, &read, std::slice::from_ref(&program)).map_err(|why| *why)
        });
        match read {
            Err(why) => {
                assert!(why.help.is_some(), "{}", why.message);
                told += 1;
            }
            Ok(logged) if logged.made == 7 => {
                assert_eq!(logged.after.0.0, 7, "seed {seed}: {shown}");
                same += 1;
            }
            // A log that lost its end tells of what came before.
            Ok(logged) => {
                assert!(logged.made < 7 && logged.after.0.0 as usize == logged.made, "seed {seed}");
                less += 1;
            }
        }
    }
    assert!(told > 8_000 && less > 100 && same > 1_000, "{told} {less} {same}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let reader = reader();
        let text = reader.text(&bytes).into_owned();
        if let Ok(read) = reader.read(FILE, &text) {
            prop_assert!(follow(&reader, &read, &[program()]).is_err());
        }
    }
}
