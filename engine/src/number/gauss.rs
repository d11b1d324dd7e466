//! Gauss quadrature for the weights of the classical orthogonal polynomials, each weight scaled to integral one.
//!
//! Nodes are the eigenvalues of the tridiagonal matrix of the recurrence, weights the squares of the first components of
//! its eigenvectors, found by QL steps with implicit shifts. Absolute error of either a few 1e-16 times the number of
//! nodes' square root (checked against closed moments below).
//!
//! Source: G. H. Golub and J. H. Welsch, "Calculation of Gauss quadrature rules", Mathematics of Computation 23 (1969)
//! 221–230; the recurrences are DLMF 18.9.

/// QL steps allowed for one eigenvalue; two or three are usual.
const MOST_STEPS: usize = 60;

/// A node and its weight.
pub type Node = (f64, f64);

/// The rule of `count` nodes on [−1, 1] for the weight proportional to (1 − x)^alpha (1 + x)^beta, both above −1.
#[must_use]
pub fn jacobi(count: usize, alpha: f64, beta: f64) -> Vec<Node> {
    let sum = alpha + beta;
    let diagonal = |index: usize| {
        let n = index as f64;
        if index == 0 {
            (beta - alpha) / (sum + 2.0)
        } else {
            (beta - alpha) * sum / ((2.0 * n + sum) * (2.0 * n + sum + 2.0))
        }
    };
    let squared = |index: usize| {
        let n = index as f64;
        if index == 1 {
            return 4.0 * (1.0 + alpha) * (1.0 + beta) / ((sum + 2.0).powi(2) * (sum + 3.0));
        }
        let twice = 2.0 * n + sum;
        4.0 * n * (n + alpha) * (n + beta) * (n + sum) / (twice * twice * (twice + 1.0) * (twice - 1.0))
    };
    rule((0..count).map(diagonal).collect(), (1..count).map(|index| squared(index).sqrt()).collect())
}

/// The rule of `count` nodes on [−1, 1] for the weight ½: as [`jacobi`] with zeros, polished by Newton's method, so that nodes
/// and weights are good to a few units in the last place.
#[must_use]
pub fn legendre(count: usize) -> Vec<Node> {
    let n = count as f64;
    let polynomial = |x: f64| {
        let (mut before, mut now) = (1.0, x);
        for index in 1..count {
            let k = index as f64;
            (before, now) = (now, ((2.0 * k + 1.0) * x * now - k * before) / (k + 1.0));
        }
        (now, n * (before - x * now) / ((1.0 - x) * (1.0 + x)))
    };
    let polished = |(x, _): Node| {
        let (value, slope) = polynomial(x);
        let x = x - value / slope;
        let (_, slope) = polynomial(x);
        (x, 1.0 / ((1.0 - x) * (1.0 + x) * slope * slope))
    };
    jacobi(count, 0.0, 0.0).into_iter().map(polished).collect()
}

/// The rule of the matrix with this diagonal and these entries beside it.
fn rule(mut diagonal: Vec<f64>, mut beside: Vec<f64>) -> Vec<Node> {
    let count = diagonal.len();
    beside.push(0.0);
    let mut first = vec![0.0; count];
    first[0] = 1.0;
    for low in 0..count {
        for _ in 0..MOST_STEPS {
            let split = (low..count - 1)
                .find(|&m| beside[m].abs() <= f64::EPSILON * 0.5 * (diagonal[m].abs() + diagonal[m + 1].abs()))
                .unwrap_or(count - 1);
            if split == low {
                break;
            }
            step(low, split, &mut diagonal, &mut beside, &mut first);
        }
    }
    let mut nodes: Vec<Node> = diagonal.into_iter().zip(first.into_iter().map(|one| one * one)).collect();
    nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
    nodes
}

/// One QL step on the rows from `low` to `split`.
fn step(low: usize, split: usize, diagonal: &mut [f64], beside: &mut [f64], first: &mut [f64]) {
    let half = (diagonal[low + 1] - diagonal[low]) / (2.0 * beside[low]);
    let mut g = diagonal[split] - diagonal[low] + beside[low] / (half + half.hypot(1.0).copysign(half));
    let (mut sine, mut cosine, mut p) = (1.0, 1.0, 0.0);
    for row in (low..split).rev() {
        let f = sine * beside[row];
        let b = cosine * beside[row];
        let length = f.hypot(g);
        beside[row + 1] = length;
        if length == 0.0 {
            diagonal[row + 1] -= p;
            beside[split] = 0.0;
            return;
        }
        sine = f / length;
        cosine = g / length;
        g = diagonal[row + 1] - p;
        let turned = (diagonal[row] - g) * sine + 2.0 * cosine * b;
        p = sine * turned;
        diagonal[row + 1] = g + p;
        g = cosine * turned - b;
        let next = first[row + 1];
        first[row + 1] = sine * first[row] + cosine * next;
        first[row] = cosine * first[row] - sine * next;
    }
    diagonal[low] -= p;
    beside[low] = g;
    beside[split] = 0.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_and_three_nodes_of_legendre_are_the_known_ones() {
        // ±1/√3 with ½ each; 0, ±√(3/5) with 4/9 and 5/18 (half of the usual weights).
        let two = legendre(2);
        assert!((two[1].0 - 3.0f64.sqrt().recip()).abs() < 1e-15 && (two[0].1 - 0.5).abs() < 1e-15);
        let three = legendre(3);
        assert!((three[2].0 - 0.6f64.sqrt()).abs() < 1e-15 && three[1].0.abs() < 1e-15);
        assert!((three[1].1 - 4.0 / 9.0).abs() < 1e-15 && (three[0].1 - 5.0 / 18.0).abs() < 1e-15);
    }

    #[test]
    fn powers_are_integrated_exactly() {
        for (alpha, beta) in [(0.0, 0.0), (2.5, 1.0), (0.0, 7.3), (40.0, 60.5)] {
            let nodes = jacobi(90, alpha, beta);
            // E (1+x)^k with y = (1+x)/2 of a beta law with a = beta + 1, b = alpha + 1: Π (a+j)/(a+b+j).
            let mut expected = 1.0;
            for k in 0..30 {
                let found: f64 = nodes.iter().map(|&(x, weight)| weight * (0.5 + 0.5 * x).powi(k)).sum();
                assert!((found - expected).abs() < 1e-14, "{alpha} {beta} {k}: {found} {expected}");
                let j = f64::from(k);
                expected *= (beta + 1.0 + j) / (alpha + beta + 2.0 + j);
            }
        }
    }
}
