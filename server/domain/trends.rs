//! Trends: what the results of many jobs say together. Flags, not accusations: every sentence says what to
//! look at, and where the count is small it says that, instead of a share.

mod course;
mod path;
mod rates;
mod results;

pub use course::{COURSES_LEAST, Course, Spread, spread};
pub use path::{PathKey, PathPoint, PathTrend, path_trend, paths};
pub use rates::{FAILING_LISTED, Failing, RATED_LEAST, Rate, failing, rates};
pub use results::{CountedResult, JobResult, counted_results};
