use super::*;

/// Three pieces of 6 and one of 5 from stock of 10: three stocks by length, four in truth.
fn shop() -> (Vec<Stock>, Vec<Piece>) {
    let stock = Stock { length: 10, count: None, cost: 1, kept: None };
    (vec![stock], vec![Piece { length: 6, demand: 3 }, Piece { length: 5, demand: 1 }])
}

fn holds(bound: i128, reason: &Reason) -> Result<(), Doubt> {
    let (stocks, pieces) = shop();
    check(&stocks, &pieces, bound, reason, &|| false)
}

fn worths(unit: i64, values: &[(u32, i64)]) -> Reason {
    Reason::Worths { unit, values: values.to_vec(), threes: Vec::new() }
}

#[test]
fn worths_by_hand() {
    // No two of these pieces share a stock: each is worth one.
    assert_eq!(holds(4, &worths(1, &[(0, 1), (1, 1)])), Ok(()));
    assert_eq!(holds(5, &worths(1, &[(0, 1), (1, 1)])), Err(Doubt::Short));
    // With a worth of 2 the waste allowed for three stocks (7) still allows a piece alone.
    assert_eq!(holds(4, &worths(1, &[(0, 2), (1, 1)])), Err(Doubt::Exceeded));
    assert_eq!(holds(3, &Reason::ByLength { value: 1, unit: 10 }), Ok(()));
    assert_eq!(holds(4, &Reason::ByLength { value: 1, unit: 10 }), Err(Doubt::Short));
    assert_eq!(holds(4, &Reason::ByLength { value: 2, unit: 10 }), Err(Doubt::Exceeded));
    // Two stocks are not as long as the pieces: that much needs no reason.
    assert_eq!(holds(3, &worths(1, &[])), Ok(()));
}

#[test]
fn what_makes_no_sense_is_refused() {
    assert_eq!(holds(4, &worths(1, &[(2, 1)])), Err(Doubt::Senseless));
    assert_eq!(holds(4, &worths(1, &[(0, -1)])), Err(Doubt::Senseless));
    assert_eq!(holds(4, &worths(1, &[(0, 1), (0, 1)])), Err(Doubt::Senseless));
    assert_eq!(holds(4, &worths(0, &[(0, 1), (1, 1)])), Err(Doubt::Senseless));
    let two = [(0, i64::MAX), (1, i64::MAX)];
    assert_eq!(holds(4, &worths(i64::MAX, &two)), Err(Doubt::Senseless), "too large to add");
    let three = |three, charge| Reason::Worths {
        unit: 1,
        values: vec![(0, 1), (1, 1)],
        threes: vec![(three, charge)],
    };
    assert_eq!(holds(4, &three([0, 0, 1], 1)), Err(Doubt::Senseless));
    assert_eq!(holds(4, &three([0, 1, 2], 1)), Err(Doubt::Senseless));
    let split = |pair| Reason::Split {
        pair,
        together: Box::new(worths(1, &[(0, 1), (1, 1)])),
        apart: Box::new(worths(1, &[(0, 1), (1, 1)])),
    };
    assert_eq!(holds(4, &split((1, 1))), Err(Doubt::Senseless), "there are no two of them");
    assert_eq!(holds(4, &split((0, 7))), Err(Doubt::Senseless));
}

#[test]
fn a_limited_kind_is_taken_off_once_for_each_there_is() {
    let stock = |length, count, cost| Stock { length, count, cost, kept: None };
    let stocks = [stock(10, Some(2), 1), stock(10, None, 3)];
    let pieces = [Piece { length: 6, demand: 4 }];
    // Two cheap ones and two dear ones: 8.
    let reason = worths(1, &[(0, 3)]);
    assert_eq!(check(&stocks, &pieces, 8, &reason, &|| false), Ok(()));
    assert_eq!(check(&stocks, &pieces, 9, &reason, &|| false), Err(Doubt::Short));
}

#[test]
fn three_pieces_of_which_any_two_share_a_stock() {
    // A second, short kind holds none of them, but is long enough to make 3 a cost to be ruled out.
    let stocks =
        [(10, 2), (2, 1)].map(|(length, cost)| Stock { length, count: None, cost, kept: None });
    let pieces = [5, 4, 3].map(|length| Piece { length, demand: 1 });
    let values = vec![(0, 2), (1, 2), (2, 2)];
    let reason = |threes| Reason::Worths { unit: 1, values: values.clone(), threes };
    let charged = reason(vec![([0, 1, 2], 2)]);
    assert_eq!(check(&stocks, &pieces, 4, &charged, &|| false), Ok(()));
    assert_eq!(check(&stocks, &pieces, 5, &charged, &|| false), Err(Doubt::Short));
    assert_eq!(check(&stocks, &pieces, 4, &reason(Vec::new()), &|| false), Err(Doubt::Exceeded));
}

#[test]
fn a_split_needs_both_cases() {
    // 5, 4 and 3 once more: with 5 and 4 in one stock 3 needs another; apart they need two.
    let stocks =
        [(10, 2), (2, 1)].map(|(length, cost)| Stock { length, count: None, cost, kept: None });
    let pieces = [5, 4, 3].map(|length| Piece { length, demand: 1 });
    let together = worths(1, &[(3, 2), (2, 2)]);
    let apart = worths(1, &[(0, 2), (1, 2)]);
    let split = |together: &Reason, apart: &Reason| Reason::Split {
        pair: (0, 1),
        together: Box::new(together.clone()),
        apart: Box::new(apart.clone()),
    };
    let check = |reason| super::check(&stocks, &pieces, 4, &reason, &|| false);
    assert_eq!(check(split(&together, &apart)), Ok(()));
    assert!(check(split(&apart, &apart)).is_err());
    assert!(check(split(&together, &together)).is_err());
    assert!(check(apart).is_err());
}

#[test]
fn a_sieve_leaves_what_a_plan_may_hold() {
    // Two pieces of 6 and two of 4: two stocks, each a 6 and a 4. One stock is too few, and that
    // two 4 share one leaves two 6 for the other.
    let stocks = [Stock { length: 10, count: None, cost: 1, kept: None }];
    let pieces = [(6, 2), (4, 2)].map(|(length, demand)| Piece { length, demand });
    let sieve = |unit, values: &[(u32, i64)], then: Reason| Reason::Sieve {
        unit,
        values: values.to_vec(),
        threes: Vec::new(),
        then: Box::new(then),
    };
    let check = |bound, reason: &Reason| super::check(&stocks, &pieces, bound, reason, &|| false);
    let end = worths(10, &[(0, 6), (1, 4)]);
    assert_eq!(check(2, &sieve(10, &[(0, 6), (1, 4)], end.clone())), Ok(()));
    assert_eq!(check(3, &sieve(10, &[(0, 6), (1, 4)], end.clone())), Err(Doubt::Short));
    // Worths by which a stock holds more than it costs sift nothing.
    assert_eq!(check(3, &sieve(9, &[(0, 6), (1, 4)], end)), Err(Doubt::Exceeded));
    // On a list, too.
    let end = worths(9, &[(0, 6), (1, 4)]);
    assert_eq!(check(3, &sieve(10, &[(0, 6), (1, 4)], end)), Err(Doubt::Exceeded));
    // Several kinds of stock have no list.
    let two = [stocks[0], Stock { length: 12, count: None, cost: 1, kept: None }];
    let reason = sieve(12, &[(0, 6), (1, 4)], worths(12, &[(0, 6), (1, 4)]));
    assert_eq!(super::check(&two, &pieces, 3, &reason, &|| false), Err(Doubt::Senseless));
}

#[test]
fn costs_that_no_stocks_come_to_are_passed_over() {
    // Stocks of 10 for 6 and of 4 for 5: 20 of length is had for 12, 16 or more, not for 13 to 15.
    let stocks =
        [(10, 6), (4, 5)].map(|(length, cost)| Stock { length, count: None, cost, kept: None });
    let pieces = [Piece { length: 6, demand: 3 }];
    let reason = worths(1, &[(0, 6)]);
    assert_eq!(check(&stocks, &pieces, 16, &reason, &|| false), Ok(()));
    assert_eq!(check(&stocks, &pieces, 18, &reason, &|| false), Ok(()), "three stocks");
    assert_eq!(check(&stocks, &pieces, 19, &reason, &|| false), Err(Doubt::Short));
    let greatest = |most| costs::greatest(&stocks, 9, 20, most);
    assert_eq!([11, 12, 13, 15, 16, 17, 18].map(greatest), [-1, 12, 12, 12, 12, 17, 18]);
    // Limited kinds only as far as there are any: 14 of 10 + 4 for 11, and no more.
    let few = stocks.map(|stock| Stock { count: Some(1), ..stock });
    assert_eq!([10, 11, 90].map(|most| costs::greatest(&few, 9, 14, most)), [-1, 11, 11]);
}

/// A list that fills 32 stocks by length, of which no full stock holds the first three pieces.
fn no_full_stock() -> (Vec<Stock>, Vec<Piece>) {
    let text = include_str!("../../fixtures/cut/no-full-stock.txt");
    let mut lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let length = lines.next().unwrap().parse().unwrap();
    let piece = |line: &str| {
        let (length, demand) = line.split_once(' ').unwrap();
        Piece { length: length.parse().unwrap(), demand: demand.parse().unwrap() }
    };
    (vec![Stock { length, count: None, cost: 1, kept: None }], lines.map(piece).collect())
}

#[test]
fn what_no_full_stock_holds_is_seen_without_trying_every_pattern() {
    let (stocks, pieces) = no_full_stock();
    let material: i64 = pieces.iter().map(|piece| piece.length * piece.demand as i64).sum();
    assert_eq!((material, pieces.len()), (32 * 2_400, 116));
    let reason = worths(1, &[(0, 50), (1, 50), (2, 50)]);
    // With patterns that are not full to look at this took 27 s, and was given up.
    let budget = Budget::of(200_000, &|| false);
    assert_eq!(within(&stocks, &pieces, 33, &reason, &budget), Ok(()));
    assert_eq!(check(&stocks, &pieces, 34, &reason, &|| false), Err(Doubt::Exceeded));
}

#[test]
fn checking_ends_whatever_the_certificate_says() {
    let sieve = |then: Reason| Reason::Sieve {
        unit: 1,
        values: Vec::new(),
        threes: Vec::new(),
        then: Box::new(then),
    };
    // All patterns there are, to be listed: they would take too much room.
    let (stocks, pieces) = no_full_stock();
    let all = sieve(worths(1, &[]));
    let told = check(&stocks, &pieces, 36, &all, &|| false);
    assert_eq!(told, Err(Doubt::Endless));
    // A longer way down than any tree needs.
    let (stocks, pieces) = shop();
    let deep = (0..=DEEPEST).fold(worths(1, &[]), |reason, _| sieve(reason));
    assert_eq!(check(&stocks, &pieces, 4, &deep, &|| false), Err(Doubt::Endless));
    // With less than the steps that a proof takes nothing is proved, nor where it is stopped.
    let proof = worths(1, &[(0, 1), (1, 1)]);
    let told = |steps| within(&stocks, &pieces, 4, &proof, &Budget::of(steps, &|| false));
    let needed = (1..100).find(|&steps| told(steps) == Ok(())).unwrap();
    assert!(needed > 1 && (0..needed).all(|steps| told(steps) == Err(Doubt::Endless)));
    assert_eq!(check(&stocks, &pieces, 4, &proof, &|| true), Err(Doubt::Endless));
}

#[test]
fn figures_too_large_to_add_are_refused() {
    let (stocks, _) = shop();
    let many = [Piece { length: 1, demand: u64::MAX }, Piece { length: i64::MAX, demand: 1 }];
    assert_eq!(check(&stocks, &many, 4, &worths(1, &[]), &|| false), Err(Doubt::Senseless));
    let charged = Reason::Worths {
        unit: i64::MAX,
        values: vec![(0, i64::MAX), (1, 0), (2, 0)],
        threes: vec![([0, 1, 2], i64::MAX); 9],
    };
    let three = [6, 5, 4].map(|length| Piece { length, demand: 1 << 30 });
    let told = check(&stocks, &three, i128::from(i64::MAX), &charged, &|| false);
    assert_eq!(told, Err(Doubt::Senseless));
}
