//! The whole way from picture bytes to millimetres, on made-up, rendered and real photographs.

#[cfg(test)]
mod common;
#[cfg(test)]
mod decoding;
#[cfg(test)]
mod demo_photos;
#[cfg(test)]
mod finding;
#[cfg(test)]
mod flags;
#[cfg(test)]
mod follow;
#[cfg(test)]
mod honesty;
#[cfg(test)]
mod opencv;
#[cfg(test)]
mod real_glass;
#[cfg(test)]
mod records;
#[cfg(test)]
mod scene;
#[cfg(test)]
mod shared_photos;
#[cfg(test)]
mod spoiled;
#[cfg(test)]
mod sticks;
#[cfg(test)]
mod synthetic;
