//! `cut`: plain lists of lengths, good and bad.

use super::shop::Shop;

/// One list as tab-separated values, by column.
fn tsv(shop: &Shop, text: &str, more: &[&str]) -> Vec<String> {
    shop.write("list.txt", text);
    let mut args = vec!["cut", "list.txt", "--format", "tsv"];
    args.extend(more);
    let run = shop.exits(0, &args);
    assert_eq!(run.out.lines().count(), 1, "{run:#?}");
    run.out.trim_end().split('\t').map(str::to_string).collect()
}

/// What is told about a list that is refused: exit 1, nothing on stdout.
fn refused(text: &str, code: &str) -> String {
    let shop = Shop::new();
    shop.write("list.txt", text);
    let run = shop.exits(1, &["cut", "list.txt", "--format", "tsv"]);
    assert!(run.out.is_empty(), "{run:#?}");
    assert!(run.err.contains(&format!("error[{code}]")), "{code}: {}", run.err);
    assert!(run.err.contains("help: "), "{}", run.err);
    run.err
}

#[test]
fn a_list_is_cut_and_proved() {
    let shop = Shop::new();
    let columns = tsv(&shop, "3\n10\n6 2\n4 1\n3 2\n", &[]);
    assert_eq!(columns[..7], ["list.txt", "5", "3", "10", "3", "3", "yes"]);
    assert_eq!(columns.len(), 9);
    let page = shop.exits(0, &["cut", "list.txt"]).out;
    assert!(page.contains("3 stocks") && page.contains("proved: no plan takes fewer"), "{page}");
}

#[test]
fn a_list_that_wastes_less_than_any_plan_must_is_proved() {
    let shop = Shop::new();
    let columns = tsv(&shop, include_str!("../../fixtures/cut/no-full-stock.txt"), &[]);
    assert_eq!(columns[3..7], ["2400", "33", "33", "yes"]);
}

#[test]
fn plans_and_certificates_are_written_for_others_to_check() {
    let shop = Shop::new();
    shop.write("list.txt", "3\n132\n44 2\n33 3\n12 6\n");
    let files = ["--plan", "plan.txt", "--certificate", "why.txt"];
    shop.exits(0, &[&["cut", "list.txt"], &files[..]].concat());
    let plan = shop.read("plan.txt");
    let mut made = std::collections::BTreeMap::<i64, i64>::new();
    let mut stocks = 0;
    for line in plan.lines().skip(1) {
        let numbers: Vec<i64> = line.split(' ').map(|n| n.parse().unwrap()).collect();
        let [times, stock, pieces @ ..] = numbers.as_slice() else { panic!("{line}") };
        stocks += times;
        assert!(pieces.chunks(2).map(|p| p[0] * p[1]).sum::<i64>() <= *stock, "{line}");
        for piece in pieces.chunks(2) {
            *made.entry(piece[0]).or_default() += piece[1] * times;
        }
    }
    assert_eq!(stocks, 3);
    assert_eq!(made.into_iter().collect::<Vec<_>>(), [(12, 6), (33, 3), (44, 2)]);
    let why = shop.read("why.txt");
    assert!(why.starts_with("# list.txt\nbound 3\n"), "{why}");
    assert!(why.lines().count() > 2);
}

#[test]
fn several_stocks_by_length_or_cost_as_far_as_there_are_any() {
    let shop = Shop::new();
    // 10 + 7 for 9, 4 and 3; one of 20 would waste more.
    let list = "# what is on the rack\n3\n\nstock 20\nstock 10 1\nstock 7 -\n9 1\n4 1\n3 1\n";
    shop.write("list.txt", list);
    let page = shop.exits(0, &["cut", "list.txt"]).out;
    assert!(page.contains("17 of length") && page.contains("no plan takes less length"), "{page}");
    // The same by cost: the long one is cheap.
    shop.write("list.txt", "3\nstock 20 - 3\nstock 10 1 2\nstock 7 - 2\n9 1\n4 1\n3 1\n");
    let page = shop.exits(0, &["cut", "list.txt"]).out;
    assert!(page.contains("cost 3") && page.contains("no plan takes less cost"), "{page}");
}

#[test]
fn same_effort_same_bytes_and_a_deadline_of_nought_is_a_plan() {
    let shop = Shop::new();
    let pieces: String = (0..40).map(|i| format!("{} {}\n", 180 + i * 11, 1 + i % 3)).collect();
    let list = format!("40\n1000\n{pieces}");
    shop.write("list.txt", &list);
    let once = shop.exits(0, &["cut", "list.txt", "--effort", "2000"]);
    let twice = shop.exits(0, &["cut", "list.txt", "--effort", "2000", "--threads", "2"]);
    assert_eq!(once.out, twice.out);
    let at_once = tsv(&shop, &list, &["--deadline", "0"]);
    let bound: u64 = at_once[5].parse().unwrap();
    let stocks: u64 = at_once[4].parse().unwrap();
    assert!(bound <= stocks && (at_once[6] == "no" || bound == stocks), "{at_once:?}");
    for bad in ["-1", "soon", "NaN", "inf", ""] {
        shop.exits(2, &["cut", "list.txt", &format!("--deadline={bad}")]);
    }
}

#[test]
fn what_is_no_number_is_told_with_its_place() {
    for word in ["abc", "2.5", "1e3", "12mm", "0x10", "½", "--3", "-"] {
        let told = refused(&format!("2\n100\n60 2\n{word} 1\n"), "E1001");
        assert!(told.contains("list.txt:4:1"), "{told}");
    }
    refused("{\n  \"a\": 1\n}\n", "E1001");
    refused("2\nstock 100 many\n60 2\n50 1\n", "E1001");
}

#[test]
fn lists_that_end_early_are_refused() {
    for list in ["", "\n\n", "# nothing\n", "2\n", "2\n100\n", "2\n100\n60 1\n", "2\n100\n60 1\n50"]
    {
        refused(list, "E1002");
    }
    refused("1\nstock\n60 1\n", "E1002");
    refused("1\nstock 100 3 7\nstock 90\n60 1\n", "E1002");
}

#[test]
fn what_does_not_belong_is_refused() {
    for list in [
        "1\n100\n60 1\n50 2\n",
        "1\n100\n60 1 7\n",
        "1 1\n100\n60 1\n",
        "1\n100 2\n60 1\n",
        "1\n100\n60 1\nEOF\n",
        "1\nstock 100 2 3 4\n60 1\n",
    ] {
        refused(list, "E1003");
    }
}

#[test]
fn nought_and_less_are_refused() {
    for list in [
        "1\n100\n0 1\n",
        "1\n100\n-5 1\n",
        "1\n100\n5 0\n",
        "1\n100\n5 -2\n",
        "1\n0\n5 2\n",
        "1\n-100\n5 2\n",
        "0\n100\n",
        "-1\n100\n5 2\n",
        "1\nstock 100 0\n5 2\n",
        "1\nstock 100 1 0\n5 2\n",
        "1\n100\n000 1\n",
    ] {
        refused(list, "E1004");
    }
}

#[test]
fn numbers_that_nothing_can_be_counted_with_are_refused() {
    for list in [
        "1\n100\n99999999999999999999999999 1\n",
        "1\n9223372036854775807\n5 1\n",
        "1\n100\n5 9223372036854775807\n",
        "1\n100\n5 9999999999\n",
        "2\n100\n5 600000000\n4 600000000\n",
        "18446744073709551616\n100\n5 1\n",
    ] {
        refused(list, "E1005");
    }
    let stocks: String = (1..=1001).map(|i| format!("stock {i}\n")).collect();
    refused(&format!("1\n{stocks}5 1\n"), "E1005");
    // What is large but can be counted with is.
    let shop = Shop::new();
    let columns = tsv(&shop, "1\n10000000000000\n3333333333334 1000000000\n", &[]);
    assert_eq!(columns[4..7], ["500000000", "500000000", "yes"]);
    let list = "2\nstock 10000000000000 - 10000000000000\nstock 7 5 9999999999999\n6 7\n9 2\n";
    let columns = tsv(&shop, list, &[]);
    assert_eq!(columns[4], "1", "{columns:?}");
    assert_eq!(columns[5..7], ["10000000000000", "yes"], "{columns:?}");
}

#[test]
fn pieces_longer_than_any_stock_are_told_each() {
    let told = refused("3\n100\n101 1\n60 2\n230 1\n", "E1006");
    assert!(told.contains("list.txt:3:1") && told.contains("list.txt:5:1"), "{told}");
    refused("1\nstock 50 3\nstock 40\n51 1\n", "E1006");
}

#[test]
fn stock_that_does_not_do_is_told_and_whether_any_plan_would() {
    let told = refused("1\nstock 100 2\n60 3\n", "E1007");
    assert!(told.contains("there is no way"), "{told}");
    let told = refused("1\nstock 100 1\n60 3\n", "E1007");
    assert!(told.contains("there is no way"), "{told}");
}

#[test]
fn a_million_lengths_are_cut_within_bounds() {
    let shop = Shop::new();
    let mut list = String::from("1000000\n2000001\n");
    for i in 0..1_000_000 {
        list.push_str(&format!("{} 1\n", 1_000_000 - i % 1_000_000));
    }
    let columns = tsv(&shop, &list, &["--deadline", "20"]);
    assert_eq!(columns[1..3], ["1000000", "1000000"]);
    let (stocks, bound): (u64, u64) = (columns[4].parse().unwrap(), columns[5].parse().unwrap());
    assert!(bound <= stocks && (columns[6] == "no" || bound == stocks), "{columns:?}");
}

#[test]
fn files_that_are_not_there_and_lists_among_bad_ones() {
    let shop = Shop::new();
    shop.exits(2, &["cut", "nowhere.txt"]);
    shop.exits(2, &["cut"]);
    shop.write("good.txt", "1\n10\n5 4\n");
    shop.write("bad.txt", "1\n10\n50 4\n");
    let run = shop.exits(1, &["cut", "bad.txt", "good.txt", "--format", "tsv"]);
    assert!(run.out.starts_with("good.txt\t4\t1\t10\t2\t2\tyes\t"), "{run:#?}");
    shop.exits(2, &["cut", "good.txt", "--plan", "no/such/folder/plan.txt"]);
}
