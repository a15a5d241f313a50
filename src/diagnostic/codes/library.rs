super::codes! {
E0301 "toml-syntax" Error "a library file is not TOML"
"The file breaks the rules of TOML at the place shown, so what it says cannot be told. The usual slips: a figure with a unit without quotes (write `offset = \"3.6 m\"`), a text without quotes, a key written twice in one table, a bracket or quote that is not closed.

All places where the reader stumbles are listed, but a mistake in one line can upset the lines after it: mend the first and look again."

E0302 "unknown-key" Error "a key that is not known here"
"A key that is silently ignored is a setting the shop believes in and the line does not have. So every key must be one the program knows at this place. Keys are words in lower case, parted by hyphens."

E0303 "missing-key" Error "a key that is needed is missing"
"This table cannot be used without the key named. There are no hidden defaults for figures that differ from shop to shop, such as slug, offsets and times: they are always the shop's own."

E0304 "wrong-kind-of-value" Error "a value of another kind is needed"
"The key is right, but its value is of another kind: a text where a list is needed, a number where a word is needed. The help line shows how such a value is written."

E0305 "unreadable-figure" Error "a figure or its unit cannot be read"
"Figures with a unit stand in quotes: `\"12 mm\"`, `\"3/32 in\"`, `\"1-5/8 in\"`, `\"3 ft 4 in\"`, `\"0.2 s\"`, `\"60 m/min\"`, `\"5 m/s2\"`, `\"2.5 t\"`. For a length a bare number is millimetres; every other figure needs its unit.

Figures are kept exactly, so what is not a whole nanometre is refused and never rounded unseen."

E0306 "figure-out-of-range" Error "a figure that cannot be"
"The figure can be read but no line, strip or coil has it: a thickness of nought, a negative slug, a coil longer than 10 km, a share above 100 %."

E0307 "unknown-word" Error "a word that is not one of the few known here"
"The key takes one of a few words. The help line gives the nearest, or all of them."
}
