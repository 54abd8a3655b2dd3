//! A class from a list: what is made of it, what is told of its mistakes, and next week's list.

#[expect(dead_code, reason = "what other tests put on a desk is not needed here")]
#[path = "../cli/desk.rs"]
mod desk;
mod extends;
mod large;
mod laws;
mod lists;
mod many;
mod next;
mod refused;
mod stack;
mod tree;
