//! Numerical tools that know nothing of lengths or laws: plain functions of plain numbers.

pub mod beta_characteristic;
pub mod bivariate_normal;
pub mod cholesky;
pub mod double_double;
pub mod gauss;
pub mod gauss_legendre;
pub mod grubbs;
pub mod hermite;
pub mod incomplete_beta;
pub mod legendre_series;
pub mod normal;
pub mod root;
pub mod student_characteristic;
pub mod student_mixture;
pub mod student_t;
pub mod summary;
