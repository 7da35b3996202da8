//! k-means in OKLab against scikit-learn on two small photographs; see `data/SOURCES.md`.

use std::collections::{BTreeMap, HashMap};
use stint_model::colour::Oklab;
use stint_model::photo::cluster::kmeans;
use stint_model::photo::{Adjustments, Photo, PixelRect};

const DATA: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/quantize/");

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Case {
    image: String,
    k: usize,
}

/// The smallest inertia that any run of the reference found.
fn best() -> BTreeMap<Case, f64> {
    let mut best = BTreeMap::new();
    for row in csv::Reader::from_path(format!("{DATA}kmeans.csv")).unwrap().deserialize() {
        let row: HashMap<String, String> = row.unwrap();
        let case = Case { image: row["image"].clone(), k: row["k"].parse().unwrap() };
        let inertia: f64 = row["inertia"].parse().unwrap();
        let least = best.entry(case).or_insert(f64::INFINITY);
        *least = inertia.min(*least);
    }
    assert_eq!(best.len(), 6);
    best
}

fn points(image: &str) -> Vec<Oklab> {
    let photo = Photo::open(format!("{DATA}{}", image.replace(".jpg", "_320.png"))).unwrap();
    let all = PixelRect { x: 0, y: 0, width_px: photo.width_px(), height_px: photo.height_px() };
    photo.view(Adjustments::default()).region(all).iter().map(|c| c.oklab()).collect()
}

#[test]
fn the_objective_is_within_two_per_cent_of_the_best_known() {
    for (case, best) in best() {
        let points = points(&case.image);
        let found = kmeans(&points, case.k, 6, 1);
        let above = found.inertia / best - 1.0;
        println!("{case:?}: inertia {:.3}, best known {best:.3}, {:+.3} %", found.inertia, above * 100.0);
        // Far below the best known would mean that the sum is wrong, not that the clusters are good.
        assert!((-0.005..0.02).contains(&above), "{case:?}: {} against {best}", found.inertia);
        assert_eq!(found.centres.len(), case.k);
        assert_eq!(found.sizes.iter().sum::<usize>(), points.len());

        let mut inertia = 0.0;
        let mut sums = vec![[0.0f64; 3]; case.k];
        for (point, &cluster) in points.iter().zip(&found.assignments) {
            let centre = found.centres[usize::from(cluster)];
            let apart = [point.l - centre.l, point.a - centre.a, point.b - centre.b].map(f64::from);
            inertia += apart.iter().map(|d| d * d).sum::<f64>();
            for (sum, value) in sums[usize::from(cluster)].iter_mut().zip([point.l, point.a, point.b]) {
                *sum += f64::from(value);
            }
        }
        assert!((inertia / found.inertia - 1.0).abs() < 1e-4, "the stated inertia is that of the assignment");
        for ((centre, sum), &size) in found.centres.iter().zip(sums).zip(&found.sizes) {
            let mean = sum.map(|s| s / size as f64);
            let own = [centre.l, centre.a, centre.b].map(f64::from);
            let apart = own.iter().zip(mean).map(|(c, m)| (c - m).abs());
            assert!(apart.fold(0.0, f64::max) < 1e-5, "a centre is the mean of its points");
        }
    }
}

#[test]
fn the_same_photo_gives_the_same_bits_with_any_number_of_threads() {
    let points = points("china.jpg");
    let with = |threads| {
        let pool = rayon_pool(threads);
        pool.install(|| kmeans(&points, 8, 2, 3))
    };
    let one = with(1);
    assert_eq!(one, with(2));
    assert_eq!(one, with(4));
}

fn rayon_pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap()
}
