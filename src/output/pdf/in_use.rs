//! The objects of a file that are in use, numbered in a row.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Document, Object, ObjectId};

/// Drops what nothing in the file leads to, and numbers the rest from 1 in the order that it had.
///
/// The library's own two steps look every reference up in a list, which takes the square of the
/// pages of a file; these take its references.
pub(super) fn keep(file: &mut Document) {
    let in_use = reached(file);
    let numbers: BTreeMap<ObjectId, ObjectId> =
        in_use.iter().zip(1..).map(|(old, number)| (*old, (number, 0))).collect();
    let old = std::mem::take(&mut file.objects);
    let kept = old.into_iter().filter_map(|(id, mut object)| {
        let id = *numbers.get(&id)?;
        renumber(&mut object, &numbers);
        Some((id, object))
    });
    file.objects = kept.collect();
    renumber_all(&mut file.trailer, &numbers);
    file.max_id = file.objects.keys().next_back().map_or(0, |(number, _)| *number);
}

/// All objects that the trailer leads to.
fn reached(file: &Document) -> BTreeSet<ObjectId> {
    let mut reached = BTreeSet::new();
    let mut waiting = Vec::new();
    let mut meet = |id: ObjectId, waiting: &mut Vec<ObjectId>| {
        if file.objects.contains_key(&id) && reached.insert(id) {
            waiting.push(id);
        }
    };
    each_reference_in(&file.trailer, &mut |id| meet(id, &mut waiting));
    while let Some(object) = waiting.pop().and_then(|id| file.objects.get(&id)) {
        each_reference(object, &mut |id| meet(id, &mut waiting));
    }
    reached
}

/// Tells of every reference in an object.
fn each_reference(object: &Object, tell: &mut impl FnMut(ObjectId)) {
    match object {
        Object::Reference(id) => tell(*id),
        Object::Array(items) => items.iter().for_each(|item| each_reference(item, tell)),
        Object::Dictionary(fields) => each_reference_in(fields, tell),
        Object::Stream(stream) => each_reference_in(&stream.dict, tell),
        _ => {}
    }
}

fn each_reference_in(fields: &Dictionary, tell: &mut impl FnMut(ObjectId)) {
    fields.iter().for_each(|(_, value)| each_reference(value, tell));
}

/// Gives every reference in an object its new number.
fn renumber(object: &mut Object, numbers: &BTreeMap<ObjectId, ObjectId>) {
    match object {
        Object::Reference(id) => *id = numbers.get(id).copied().unwrap_or(*id),
        Object::Array(items) => items.iter_mut().for_each(|item| renumber(item, numbers)),
        Object::Dictionary(fields) => renumber_all(fields, numbers),
        Object::Stream(stream) => renumber_all(&mut stream.dict, numbers),
        _ => {}
    }
}

fn renumber_all(fields: &mut Dictionary, numbers: &BTreeMap<ObjectId, ObjectId>) {
    fields.iter_mut().for_each(|(_, value)| renumber(value, numbers));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is left is what the library's own steps leave, number for number.
    #[test]
    fn what_is_kept_is_what_the_library_keeps() {
        let mut file = Document::with_version("1.7");
        let lone = file.add_object(Object::Array(vec![Object::Integer(1)]));
        let word = file.add_object(Object::string_literal("word"));
        let spare = file.add_object(Object::Array(vec![lone.into(), word.into()]));
        let inner = Dictionary::from_iter([("Word", Object::from(word)), ("Own", spare.into())]);
        let stream =
            lopdf::Stream::new(Dictionary::from_iter([("Of", Object::from(inner))]), vec![1, 2]);
        let unused = file.add_object(Object::Integer(3));
        let stream = file.add_object(stream);
        file.add_object(Object::Array(vec![unused.into()]));
        let root = Dictionary::from_iter([
            ("Type", Object::from("Catalog")),
            ("Again", Object::Array(vec![stream.into(), stream.into()])),
        ]);
        let root = file.add_object(root);
        file.trailer.set("Root", root);
        let mut own = file.clone();
        file.prune_objects();
        file.renumber_objects();
        keep(&mut own);
        assert_eq!(own.objects, file.objects);
        assert_eq!(own.trailer, file.trailer);
        assert_eq!(own.max_id, file.max_id);
        assert_eq!(own.objects.len(), 5);
    }
}
