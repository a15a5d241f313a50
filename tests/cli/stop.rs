//! Being stopped: Ctrl-C in mid-compile, readers that go away, disks that are full.

use super::shop::{Run, Shop};
use std::io::Read;
use std::process::Stdio;
use std::time::Duration;

/// Signals `child` as Ctrl-C does.
#[cfg(unix)]
fn interrupt(child: &std::process::Child) {
    let sent = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(sent.unwrap().success());
}

/// Starts a compile that would go on for days, and stops it while it plans. A machine under load
/// may not have come that far: then there is nothing to say yet, and the next try waits longer.
#[cfg(unix)]
fn stopped_while_planning(shop: &Shop, out: &str) -> Run {
    let effort = u64::MAX.to_string();
    let args = ["compile", "batch.toml", "--out", out, "--effort", &effort];
    let mut wait = Duration::from_millis(700);
    loop {
        let mut command = shop.command(&args);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(wait);
        interrupt(&child);
        let run = Run::of(child.wait_with_output().unwrap());
        assert_eq!(run.code, Some(2), "{run:#?}");
        if run.found("E0910") > 0 || wait > Duration::from_secs(20) {
            return run;
        }
        wait *= 3;
    }
}

#[cfg(unix)]
#[test]
fn ctrl_c_in_mid_compile_leaves_nothing_behind() {
    // E0910
    let shop = Shop::new();
    shop.enlarge();
    let before = shop.names("");
    stopped_while_planning(&shop, "deep/out").finds("E0910");
    assert_eq!(shop.names(""), before);
    // What stood there before still does.
    shop.exits(0, &["compile", "batch.toml", "--out", "out", "--effort", "quick"]);
    let whole = shop.files("out");
    stopped_while_planning(&shop, "out").finds("E0910");
    assert_eq!(shop.files("out"), whole);
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let shop = Shop::new();
    shop.enlarge();
    for args in [
        &["preview", "batch.toml", "--format", "json", "-q"][..],
        &["schema", "report"],
        &["explain", "E0907"],
        &["--help"],
    ] {
        let mut command = shop.command(args);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let run = Run::of(child.wait_with_output().unwrap());
        assert_eq!((run.code, run.err.as_str()), (Some(0), ""), "{args:?}");
    }
    // Findings to a stderr that nobody reads.
    let mut command = shop.command(&["check", "nowhere.toml"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stderr.take());
    let mut out = String::new();
    child.stdout.take().unwrap().read_to_string(&mut out).unwrap();
    assert_eq!((child.wait().unwrap().code(), out.as_str()), (Some(2), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_stdout_is_told() {
    let shop = Shop::new();
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = shop.command(&["preview", "batch.toml"]).stdout(full).output().unwrap();
    let run = Run::of(output);
    assert_eq!(run.code, Some(2));
    assert!(run.err.contains("no space left"), "{}", run.err);
}
