//! A class from a list: what is made of it, what is told of its mistakes, and next week's list.

#[path = "../cli/desk.rs"]
mod desk;
mod extends;
mod large;
mod laws;
mod lists;
mod many;
mod next;
mod own;
mod refused;
mod review;
mod stack;
mod tree;
