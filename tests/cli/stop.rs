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

#[cfg(target_os = "linux")]
fn signal(child: &std::process::Child, signal: &str) {
    let sent = std::process::Command::new("kill").args([signal, &child.id().to_string()]).status();
    assert!(sent.unwrap().success());
}

/// Starts a command, holds it still once a hidden file or folder of its own lies in the shop, then
/// sends Ctrl-C `times` and lets it go on. Whether it was met with that half written.
#[cfg(target_os = "linux")]
fn met_half_written(shop: &Shop, args: &[&str], times: usize) -> (bool, Run) {
    let hidden = || shop.names("").iter().any(|name| name.starts_with('.'));
    let mut command = shop.command(args);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    while !hidden() && child.try_wait().unwrap().is_none() {
        std::hint::spin_loop();
    }
    if child.try_wait().unwrap().is_some() {
        return (false, Run::of(child.wait_with_output().unwrap()));
    }
    signal(&child, "-STOP");
    let met = hidden();
    for _ in 0..times {
        signal(&child, "-INT");
    }
    signal(&child, "-CONT");
    (met, Run::of(child.wait_with_output().unwrap()))
}

/// However a single file is written: stopped in the midst of it, neither it nor half of it is there.
#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_leaves_no_half_written_file() {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    let job = shop.read("job.members").replace("S1..S4", "S1..S20000");
    shop.write("many.members", job);
    let before = shop.names("");
    let export = ["export", "many.members", "--library", "library.toml", "--form"];
    let json = [&export[..], &["json", "--out", "job.json"]].concat();
    // By chance it is done before the signal comes; then it is tried again.
    let caught = (0..30).any(|_| {
        let (met, run) = met_half_written(&shop, &json, 1);
        let stopped = run.code == Some(2);
        let mut there = before.clone();
        if !stopped {
            assert_eq!(run.code, Some(0), "{run:#?}");
            there.push("job.json".to_string());
            there.sort();
        }
        assert_eq!(shop.names(""), there, "{run:#?}");
        if !stopped {
            std::fs::remove_file(shop.path("job.json")).unwrap();
        }
        met && stopped
    });
    assert!(caught, "never met while it wrote");
}

/// Asked twice, nothing waits for the work to end itself, and still nothing half written stays.
#[cfg(target_os = "linux")]
#[test]
fn a_second_ctrl_c_leaves_no_half_written_folder() {
    let shop = Shop::new();
    shop.enlarge();
    let before = shop.names("");
    let compile = ["compile", "batch.toml", "--out", "out", "--effort", "quick", "--papers"];
    let caught = (0..20).any(|_| {
        let (met, run) = met_half_written(&shop, &compile, 2);
        let stopped = run.code == Some(2);
        let mut there = before.clone();
        if !stopped {
            there.push("out".to_string());
            there.sort();
        }
        assert_eq!(shop.names(""), there, "{run:#?}");
        if !stopped {
            std::fs::remove_dir_all(shop.path("out")).unwrap();
        }
        met && stopped
    });
    assert!(caught, "never met while it wrote");
}

/// Once planning is over nothing holds a run: a PDF of many labels ends when it is asked to.
#[cfg(unix)]
#[test]
fn labels_in_the_making_are_stopped_at_once() {
    let shop = Shop::new();
    shop.enlarge();
    let labels = |out: &str| -> Vec<String> {
        let args = ["labels", "batch.toml", "--of", "pieces", "--effort", "quick", "--out", out];
        args.into_iter().map(str::to_string).collect()
    };
    let timed = |out: &str| {
        let began = std::time::Instant::now();
        let args = labels(out);
        shop.exits(0, &args.iter().map(String::as_str).collect::<Vec<_>>());
        began.elapsed()
    };
    let caught = (0..12).any(|_| {
        // The table is made of the same plan: what the PDF takes longer is what it is made in.
        let (planned, whole) = (timed("labels.csv"), timed("labels.pdf"));
        std::fs::remove_file(shop.path("labels.pdf")).unwrap();
        let Some(making) = whole.checked_sub(planned) else { return false };
        let args = labels("labels.pdf");
        let mut command = shop.command(&args.iter().map(String::as_str).collect::<Vec<_>>());
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(planned + making / 4);
        interrupt(&child);
        let asked = std::time::Instant::now();
        let run = Run::of(child.wait_with_output().unwrap());
        if run.code == Some(0) {
            return false;
        }
        assert_eq!(run.code, Some(2), "{run:#?}");
        assert!(!shop.path("labels.pdf").exists());
        assert!(shop.names("").iter().all(|name| !name.starts_with('.')));
        // Met while it planned it says so; here it just ends, long before it was done.
        run.found("E0910") == 0 && asked.elapsed() < making / 3
    });
    assert!(caught, "never stopped while labels were drawn");
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
