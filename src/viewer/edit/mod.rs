//! Changing the boat and its frame: by the pointer, by keys, on the pages "boat" and "frame".

pub mod by_hand;
