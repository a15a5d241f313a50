//! Random shops whose controller is told members.

use super::*;
use coilwright::library::read_dialect;

/// The member table that ships, for controllers of any kind that fit the line.
fn member_table(shop: &Shop, dice: &mut Dice, merges: &str) -> (Invertible, bool) {
    let mut text = include_str!("../../fixtures/dialects/member-table.toml").to_string();
    let mut change = |old: &str, new: &str| {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    };
    if shop.line.firing == Firing::AtOnce {
        change("\"listed\"", "\"together\"");
    }
    if dice.below(3) == 0 {
        change("snapping = \"nearest\"", "snapping = \"down\"");
    }
    if dice.below(3) == 0 {
        change("offsets = \"controller\"", "offsets = \"program\"");
    }
    change("[numbers.place]", &format!("merges-within = \"{merges}\"\n\n[numbers.place]"));
    let rise = "';', { field = \"rise\", format = \"signed\" }, ';', { field = \"run\", format = \
                \"count\" }";
    let length = "{ field = \"length\", format = \"place\" }";
    if !shop.line.shear.slopes.is_empty() {
        change(length, &format!("{length}, {rise}"));
        change("[texts.plain]", "[numbers.signed]\nunit = \"count\"\n\n[texts.plain]");
    }
    let sloped = !shop.line.shear.slopes.is_empty();
    let own_texts = shop.line.marker.is_some() && !sloped && dice.below(3) == 0;
    if own_texts {
        let field = "{ field = \"text\", format = \"plain\" }";
        let mark =
            format!("mark = ['ink;', {{ field = \"at\", format = \"place\" }}, ';', {field}]");
        change(&mark, "");
        change(
            "format = \"count\" },\n  ';', { field = \"length\"",
            &format!("format = \"count\" }},\n  ';', {field}, ';', {{ field = \"length\""),
        );
    }
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new("dialect.toml", text));
    let (dialect, found) = read_dialect(&sources, file);
    assert!(found.is_empty(), "{found:?}");
    (Invertible::prove(&dialect.unwrap(), &shop.line).unwrap(), own_texts)
}

/// What compiles for a controller that is told strokes compiles for one that is told members: it
/// makes the same cuts, and its members, read from the bytes, come out right. Where it prints at
/// its own place, or merges, what it makes may be refused, and is then never written.
#[test]
fn what_can_be_told_as_strokes_can_be_told_as_members() {
    let (mut told, mut repeats, mut refused) = (0, 0, BTreeMap::new());
    for seed in 0..1_200 {
        let shop = shop(seed);
        let (Some(strokes), found) = compile(&shop, 1) else { continue };
        if any_error(&found) {
            continue;
        }
        let mut dice = Dice(seed + 7);
        let merges = if dice.below(4) == 0 { "0.4 mm" } else { "0 mm" };
        let (dialect, own_texts) = member_table(&shop, &mut dice, merges);
        let (plan, found) = compile_for(&shop, &dialect, 1);
        let errors: Vec<_> = found.iter().filter(|d| d.is_error()).collect();
        if !errors.is_empty() {
            assert!(own_texts || merges != "0 mm", "seed {seed}: {errors:#?}");
            *refused.entry(errors[0].code.number).or_insert(0) += 1;
            continue;
        }
        let plan = plan.unwrap();
        let cuts = |plan: &Plan| -> Vec<Vec<Event>> {
            let cut = |event: &&Event| matches!(event, Event::Cut { .. });
            let runs = plan.runs.iter();
            runs.map(|run| run.program.events.iter().filter(cut).cloned().collect()).collect()
        };
        assert_eq!(cuts(&plan), cuts(&strokes), "seed {seed}");
        for run in &plan.runs {
            let read = dialect.read(FileId(0), &run.printed.bytes).unwrap();
            assert_eq!(read.program, run.program, "seed {seed}");
            assert!(is_right(&shop.jobs, run, &read.program, &situation(&shop, run)));
            under_no_bound(run, seed);
            repeats += run.printed.blocks.windows(2).filter(|b| b[0].bytes == b[1].bytes).count();
        }
        told += 1;
    }
    println!("{told} told, {repeats} pieces in the record before, refused: {refused:?}");
    assert!(told > 120 && repeats > 10 && refused.values().sum::<i32>() > 5, "{refused:?}");
}
