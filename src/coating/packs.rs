//! Which packs to buy, and which to take from the shelf.

use super::card::MaterialCard;
use super::cover::{Kind, Slack, cheapest};
use super::paste::Paste;
use super::plan::Plan;
use super::shelf::OnShelf;
use crate::quantity::Grams;
use crate::words::tr;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// A set as it is sold: A and B together, in the card's ratio.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackSize {
    /// Its name.
    pub name: String,
    /// Its mass, A and B together.
    pub size: Grams,
    /// Its price in the user's own currency, if known.
    #[serde(default)]
    pub price: Option<f64>,
}

/// So many of one set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackCount {
    /// The set.
    pub pack: PackSize,
    /// How many; at least one.
    pub count: u32,
}

/// The shelf on a day.
#[derive(Clone, Copy, Debug)]
pub struct Shelf<'a> {
    /// What stands there, all of the paste that is needed.
    pub items: &'a [OnShelf],
    /// The day: what has expired before is left where it is.
    pub today: NaiveDate,
}

/// So many packs from the shelf.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShelfCount {
    /// Which one of the shelf's items, counted from 0.
    pub item: usize,
    /// How many of it; at least one.
    pub count: u32,
}

/// What to buy and to take, and what stays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackChoice {
    /// The sets to buy, largest first; those not needed are left out.
    pub buy: Vec<PackCount>,
    /// What to take from the shelf.
    pub from_shelf: Vec<ShelfCount>,
    /// Mass of all sets together, bought and taken.
    pub mass: Grams,
    /// What is left over.
    pub left_over: Grams,
    /// What is paid for those to buy, if each of them has a price.
    pub cost: Option<f64>,
    /// Whether it is proven that no choice is better. Not so only where many sizes are told to the
    /// milligram or finer and their prices are all but in proportion to them: then it is the best
    /// of very many.
    pub proven: bool,
}

impl PackChoice {
    /// Mass of the sets to buy.
    pub fn bought(&self) -> Grams {
        let each = self.buy.iter();
        each.map(|b| b.pack.size * f64::from(b.count)).sum()
    }
}

/// Why no packs can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackError {
    /// What it speaks of.
    pub place: PackPlace,
    /// What is wrong, and what to do, as a sentence.
    pub text: String,
}

/// What an error about packs speaks of; packs and the shelf's items are counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PackPlace {
    /// What is needed.
    Need,
    /// The packs on offer as a whole.
    Packs,
    /// The size of a pack.
    Size(usize),
    /// The price of a pack.
    Price(usize),
    /// An item on the shelf.
    Shelf(usize),
}

impl fmt::Display for PackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl std::error::Error for PackError {}

/// The greatest need, the greatest pack, and the greatest price.
const GREATEST: f64 = 1e6;
/// The most packs on offer.
const MOST_PACKS: usize = 1000;
/// Masses are counted in billionths of a gram: so an ounce is a whole number of them.
const UNITS_PER_GRAM: f64 = 1e9;
/// What packs may be short of the need, in these units: a millionth of a gram, for sums of halves
/// and thirds of an ounce.
const SHORT: i64 = 1000;
/// Masses that differ by less than a tenth of a milligram aren't told apart in the search.
const MASS_SLACK: i64 = 100_000;
/// Nor are prices that differ by less than a millionth.
const COST_SLACK: f64 = 1e-6;

/// The sets to buy for a plan: both parts are covered. `None` if the card names none.
pub fn packs_for(plan: &Plan, card: &MaterialCard) -> Option<PackChoice> {
    Paste::of(plan, card).packs(None).ok()
}

/// The packs that cover the need and cost least; what stands on the shelf costs nothing. Among
/// choices of equal cost the one that leaves least over, and among these one that opens few packs.
/// Without a shelf all are bought new.
///
/// If a pack on offer has no price, the cheapest choice isn't known: then the one is chosen that
/// buys the least mass, which without a shelf is the one that leaves least over.
///
/// Solved exactly, without rounding: what is found is the cheapest to a millionth of the currency,
/// and leaves least over to a tenth of a milligram. (Where sizes are told to the milligram or finer
/// and prices are all but in proportion to them there may be too many ways to go through; then the
/// cheapest to a ten-thousandth, or the choice says that it is not [proven](PackChoice::proven).)
/// Packs that are short of the need by no more than a millionth of a gram cover it.
///
/// ```
/// use peelcast::coating::{PackSize, choose_packs};
/// use peelcast::quantity::Grams;
///
/// let pack = |name: &str, grams, price| PackSize {
///     name: name.to_string(),
///     size: Grams(grams),
///     price: Some(price),
/// };
/// let packs = [pack("Pound", 453.59, 21.0), pack("Five pounds", 2267.95, 89.0)];
/// // Exactly two pounds, and not three.
/// let choice = choose_packs(Grams(907.18), &packs, None)?;
/// assert_eq!((choice.buy[0].count, choice.cost), (2, Some(42.0)));
/// assert_eq!(choice.left_over, Grams(0.0));
/// # Ok::<(), peelcast::coating::PackError>(())
/// ```
pub fn choose_packs(
    need: Grams,
    packs: &[PackSize],
    shelf: Option<Shelf<'_>>,
) -> Result<PackChoice, PackError> {
    check(need, packs, shelf)?;
    let wanted = units(need);
    let groups = shelf.map_or(Vec::new(), by_size);
    let priced = packs.iter().all(|pack| pack.price.is_some());
    let unit = unit_of_price(need, packs);
    let cost_slack = if priced {
        (COST_SLACK / unit) as i64
    } else {
        MASS_SLACK
    };

    let bought = packs.iter().map(|pack| Kind {
        size: units(pack.size),
        price: match pack.price.filter(|_| priced) {
            Some(price) => (price / unit).round() as i64,
            None => units(pack.size),
        },
        on_shelf: None,
    });
    let there = groups.iter().map(|group| Kind {
        size: group.size,
        price: 0,
        on_shelf: Some(group.items.iter().map(|item| item.count).sum()),
    });
    let kinds: Vec<Kind> = bought.chain(there).collect();
    let (counts, proven) = if wanted > SHORT {
        let slack = Slack {
            cost: cost_slack,
            mass: MASS_SLACK,
        };
        let cover = cheapest(wanted - SHORT, &kinds, slack).ok_or_else(too_little)?;
        (cover.counts, cover.proven)
    } else {
        (vec![0; kinds.len()], true)
    };

    let mass: i64 = kinds
        .iter()
        .zip(&counts)
        .map(|(kind, count)| kind.size * i64::from(*count))
        .sum();
    let mut buy: Vec<PackCount> = packs
        .iter()
        .zip(&counts)
        .filter(|(_, count)| **count > 0)
        .map(|(pack, count)| PackCount {
            pack: pack.clone(),
            count: *count,
        })
        .collect();
    buy.sort_by(|x, y| y.pack.size.0.total_cmp(&x.pack.size.0));
    let prices = buy.iter();
    let prices = prices.map(|b| b.pack.price.map(|p| p * f64::from(b.count)));
    let taken = groups.iter().zip(&counts[packs.len()..]);
    Ok(PackChoice {
        from_shelf: taken
            .flat_map(|(group, count)| group.take(*count))
            .collect(),
        mass: Grams(mass as f64 / UNITS_PER_GRAM),
        left_over: Grams((mass - wanted).max(0) as f64 / UNITS_PER_GRAM),
        // An empty sum of floating point is minus nothing.
        cost: prices.sum::<Option<f64>>().map(|cost| 0.0 + cost),
        buy,
        proven,
    })
}

fn units(mass: Grams) -> i64 {
    (mass.0 * UNITS_PER_GRAM).round() as i64
}

/// What prices are counted in: billionths, or more where the sum would be too long a number.
fn unit_of_price(need: Grams, packs: &[PackSize]) -> f64 {
    let alone = packs.iter().map(|pack| {
        let count = (need / pack.size).ceil();
        count * pack.price.unwrap_or(0.0)
    });
    (alone.fold(f64::INFINITY, f64::min) / 1e17).clamp(1e-9, 1.0)
}

/// Packs of one size on the shelf, those that expire first, then those that were opened first.
struct Group<'a> {
    size: i64,
    items: Vec<Item<'a>>,
}

struct Item<'a> {
    at: usize,
    count: u32,
    item: &'a OnShelf,
}

fn by_size(shelf: Shelf<'_>) -> Vec<Group<'_>> {
    let mut groups: BTreeMap<i64, Vec<Item<'_>>> = BTreeMap::new();
    for (at, item) in shelf.items.iter().enumerate() {
        if item.count > 0 && !item.has_expired(shelf.today) {
            let group = groups.entry(units(item.size)).or_default();
            let count = item.count;
            group.push(Item { at, count, item });
        }
    }
    let last = |day: Option<NaiveDate>| day.unwrap_or(NaiveDate::MAX);
    groups
        .into_iter()
        .map(|(size, mut items)| {
            items.sort_by_key(|i| (last(i.item.expires), last(i.item.opened)));
            Group { size, items }
        })
        .collect()
}

impl Group<'_> {
    fn take(&self, count: u32) -> Vec<ShelfCount> {
        let mut left = count;
        let mut taken = Vec::new();
        for Item { at, count, .. } in &self.items {
            let count = left.min(*count);
            left -= count;
            if count > 0 {
                taken.push(ShelfCount { item: *at, count });
            }
        }
        taken
    }
}

fn check(need: Grams, packs: &[PackSize], shelf: Option<Shelf<'_>>) -> Result<(), PackError> {
    // A comparison with NaN is false, so every range also refuses what is no number.
    let hold = |good: bool, place: PackPlace, text: &str| {
        let text = text.to_string();
        if good {
            Ok(())
        } else {
            Err(PackError { place, text })
        }
    };
    hold(
        (0.0..=GREATEST).contains(&need.0),
        PackPlace::Need,
        tr("What is needed has to be between 0 and 1000 kg. Check it."),
    )?;
    hold(
        packs.len() <= MOST_PACKS,
        PackPlace::Packs,
        tr("These are more than 1000 packs. Leave out what you would not buy."),
    )?;
    for (i, pack) in packs.iter().enumerate() {
        hold(
            (1.0..=GREATEST).contains(&pack.size.0),
            PackPlace::Size(i),
            tr("A pack holds between 1 g and 1000 kg, A and B together. Check its size."),
        )?;
        hold(
            pack.price.is_none_or(|p| (0.0..=GREATEST).contains(&p)),
            PackPlace::Price(i),
            tr(
                "A price is zero or more, and not above a million. Leave it empty if you don't know it.",
            ),
        )?;
    }
    let items = shelf.map_or(&[][..], |shelf| shelf.items);
    for (i, item) in items.iter().enumerate() {
        let said: Vec<String> = item.problems().into_iter().map(|p| p.text).collect();
        hold(said.is_empty(), PackPlace::Shelf(i), &said.join(" "))?;
    }
    Ok(())
}

fn too_little() -> PackError {
    PackError {
        place: PackPlace::Packs,
        text: tr("There is no pack to buy, and what is on the shelf and not expired is not enough. Name a pack that you can buy.").to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::iso;

    fn pack(size: f64, price: Option<f64>) -> PackSize {
        PackSize {
            name: format!("{size}"),
            size: Grams(size),
            price,
        }
    }

    fn on_shelf(size: f64, count: u32, expires: &str) -> OnShelf {
        OnShelf {
            name: format!("{size}"),
            card: String::new(),
            size: Grams(size),
            price: None,
            count,
            lot: String::new(),
            opened: None,
            expires: iso::read_day(expires),
        }
    }

    fn today(items: &[OnShelf]) -> Shelf<'_> {
        let today = iso::read_day("2026-05-03").unwrap();
        Shelf { items, today }
    }

    fn counts(choice: &PackChoice) -> Vec<(f64, u32)> {
        let each = |b: &PackCount| (b.pack.size.0, b.count);
        choice.buy.iter().map(each).collect()
    }

    #[test]
    fn fractions_of_a_gram_are_not_rounded() {
        const POUND: f64 = 453.592_37;
        for (size, count) in [(453.59, 2), (POUND, 3), (POUND / 3.0, 7), (0.1 + 1.0, 9)] {
            let packs = [pack(size, Some(20.0)), pack(50.0 * size, Some(900.0))];
            let exactly = choose_packs(Grams(size * f64::from(count)), &packs, None).unwrap();
            assert_eq!(counts(&exactly), [(size, count)]);
            assert!(exactly.left_over.0 < 1e-8, "{exactly:?}");
            let more = Grams(size * f64::from(count) + 0.000_01);
            let more = choose_packs(more, &packs, None).unwrap();
            assert_eq!(counts(&more), [(size, count + 1)]);
        }
    }

    #[test]
    fn the_shelf_is_free_and_no_more_of_it_is_opened_than_helps() {
        let packs = [pack(500.0, Some(30.0)), pack(1000.0, Some(50.0))];
        let items = [on_shelf(500.0, 1, ""), on_shelf(200.0, 2, "")];
        let choose = |need| choose_packs(Grams(need), &packs, Some(today(&items))).unwrap();

        let enough = choose(300.0);
        assert_eq!((enough.buy, enough.cost), (vec![], Some(0.0)));
        // Twice 200 g leave less over than 500 g do.
        assert_eq!(enough.from_shelf, [ShelfCount { item: 1, count: 2 }]);
        assert_eq!(enough.left_over, Grams(100.0));

        // 900 g are there. One more pack of 500 g, and then 200 g may stay closed.
        let more = choose(1200.0);
        assert_eq!(counts(&more), [(500.0, 1)]);
        assert_eq!(more.left_over, Grams(0.0));
        let taken: u32 = more.from_shelf.iter().map(|taken| taken.count).sum();
        assert_eq!((more.mass, taken), (Grams(1200.0), 2));

        // The shelf is kept: all are bought.
        let all_new = choose_packs(Grams(1200.0), &packs, None).unwrap();
        assert_eq!((all_new.cost, all_new.from_shelf), (Some(80.0), vec![]));
    }

    #[test]
    fn what_has_expired_stays_and_what_expires_first_goes_first() {
        let packs = [pack(1000.0, Some(50.0))];
        let items = [
            on_shelf(500.0, 2, ""),
            on_shelf(500.0, 1, "2026-09-01"),
            on_shelf(500.0, 1, "2026-05-03"),
            on_shelf(500.0, 9, "2026-05-02"),
        ];
        let choice = choose_packs(Grams(1500.0), &packs, Some(today(&items))).unwrap();
        let taken = |item, count| ShelfCount { item, count };
        assert_eq!(choice.from_shelf, [taken(2, 1), taken(1, 1), taken(0, 1)]);
        let error = choose_packs(Grams(2001.0), &[], Some(today(&items))).unwrap_err();
        assert_eq!(error.place, PackPlace::Packs);
    }

    #[test]
    fn from_the_shelf_rather_than_as_a_gift() {
        let packs = [pack(500.0, Some(0.0))];
        let items = [on_shelf(500.0, 1, "")];
        let choice = choose_packs(Grams(400.0), &packs, Some(today(&items))).unwrap();
        assert_eq!((choice.buy.len(), choice.from_shelf.len()), (0, 1));
        let two = choose_packs(Grams(600.0), &packs, Some(today(&items))).unwrap();
        assert_eq!((two.cost, two.left_over), (Some(0.0), Grams(400.0)));
    }

    #[test]
    fn without_all_prices_the_least_mass_is_bought() {
        let mut packs = [pack(450.0, None), pack(700.0, Some(5.0))];
        let choice = choose_packs(Grams(850.0), &packs, None).unwrap();
        assert_eq!(counts(&choice), [(450.0, 2)]);
        assert_eq!((choice.cost, choice.left_over), (None, Grams(50.0)));
        let none = choose_packs(Grams(0.0), &packs, None).unwrap();
        assert_eq!((none.buy.len(), none.cost), (0, Some(0.0)));
        assert!(none.cost.unwrap().is_sign_positive());
        packs[0].price = Some(9.0);
        let cheaper = choose_packs(Grams(850.0), &packs, None).unwrap();
        assert_eq!(
            (counts(&cheaper), cheaper.cost),
            (vec![(700.0, 2)], Some(10.0))
        );
    }

    #[test]
    fn every_slip_is_refused_at_its_place() {
        let good = [pack(450.0, Some(20.0)), pack(900.0, None)];
        let at = |need: f64, packs: &[PackSize]| {
            let error = choose_packs(Grams(need), packs, None).unwrap_err();
            assert!(error.to_string().ends_with('.'), "{error}");
            error.place
        };
        for need in [-1.0, f64::NAN, f64::INFINITY, 1e7] {
            assert_eq!(at(need, &good), PackPlace::Need);
        }
        for size in [0.0, -5.0, f64::NAN, 1e9] {
            assert_eq!(
                at(1.0, &[good[0].clone(), pack(size, None)]),
                PackPlace::Size(1)
            );
        }
        for price in [-0.01, f64::NAN, f64::INFINITY] {
            assert_eq!(at(1.0, &[pack(450.0, Some(price))]), PackPlace::Price(0));
        }
        assert_eq!(at(1.0, &[]), PackPlace::Packs);
        let many = vec![good[0].clone(); 1001];
        assert_eq!(at(1.0, &many), PackPlace::Packs);
        let nameless = OnShelf {
            name: String::new(),
            ..on_shelf(5.0, 1, "")
        };
        let error = choose_packs(Grams(1.0), &good, Some(today(&[nameless]))).unwrap_err();
        assert_eq!(error.place, PackPlace::Shelf(0));
    }

    #[test]
    fn the_dearest_and_the_smallest_packs_fit_the_numbers() {
        let packs = [pack(1.0, Some(1e6)), pack(1.5, Some(999_999.0))];
        let choice = choose_packs(Grams(1e6), &packs, None).unwrap();
        assert_eq!(choice.buy[0].count, 666_667);
        let packs = [pack(1.0, Some(1e6)), pack(1e6, Some(1e6))];
        let choice = choose_packs(Grams(1e6), &packs, None).unwrap();
        assert_eq!(counts(&choice), [(1e6, 1)]);
        let items = vec![on_shelf(1e6, 100_000, ""); 900];
        let choice = choose_packs(Grams(1e6), &packs, Some(today(&items))).unwrap();
        assert_eq!((choice.cost, choice.left_over), (Some(0.0), Grams(0.0)));
    }
}
