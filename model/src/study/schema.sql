-- A study, schema version 4. Positions count tiles of 128 x 128 px from the top left. `check_sum` is the CRC-32 of all
-- other values of its row, as `check_sum.rs` puts them into bytes: no changed byte goes unnoticed. Earlier versions are
-- brought up to this one by the steps in `upgrade.rs`.

-- Where the study stands: the state after step `head`. One row.
CREATE TABLE study (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    head INTEGER NOT NULL CHECK (head >= 0),
    check_sum INTEGER NOT NULL
) STRICT;

-- All steps, 0 being the empty study; those above the head can be redone. `strokes` and the shares hold after the step:
-- area in pixels, board and free as fractions of the painted area, bare as a fraction of the canvas. `text_sum` is the
-- check sum of label, kind and command, so that the readout over time is checked without reading them.
CREATE TABLE step (
    step INTEGER PRIMARY KEY,
    label TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('start', 'stroke', 'edit')),
    command TEXT NOT NULL,
    strokes INTEGER NOT NULL,
    painted_px REAL NOT NULL,
    board_share REAL NOT NULL,
    free_share REAL NOT NULL,
    bare_share REAL NOT NULL,
    text_sum INTEGER NOT NULL,
    check_sum INTEGER NOT NULL
) STRICT;

-- The document (RON) after each step that changed it; at any other step the one before it holds.
CREATE TABLE document (
    step INTEGER PRIMARY KEY,
    ron TEXT NOT NULL,
    check_sum INTEGER NOT NULL
) STRICT;

-- The tiles at the head; a tile without paint has no row. `plane_count` tells the memory it takes, `tally` is the sum of
-- amounts of each paint in it, as `tile_tally.rs` puts it into bytes; both come before the pixels, to be read without
-- them. `planes` is as `codec.rs` packs it.
CREATE TABLE tile (
    pass INTEGER NOT NULL,
    tile_row INTEGER NOT NULL,
    tile_column INTEGER NOT NULL,
    plane_count INTEGER NOT NULL CHECK (plane_count BETWEEN 1 AND 8),
    tally BLOB NOT NULL,
    planes BLOB NOT NULL,
    check_sum INTEGER NOT NULL,
    PRIMARY KEY (pass, tile_row, tile_column)
) STRICT;

-- What a step did to a tile: before XOR after, so that one blob serves both directions.
CREATE TABLE step_tile (
    step INTEGER NOT NULL,
    pass INTEGER NOT NULL,
    tile_row INTEGER NOT NULL,
    tile_column INTEGER NOT NULL,
    delta BLOB NOT NULL,
    check_sum INTEGER NOT NULL,
    PRIMARY KEY (step, pass, tile_row, tile_column)
) STRICT;

-- Photos as they were given, never changed and never removed. The bytes come last: only then can SQLite make room for them without holding
-- them, so that they go in piece by piece.
CREATE TABLE photo (
    key INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    check_sum INTEGER NOT NULL,
    bytes BLOB NOT NULL
) STRICT;

-- Every opening of free colour, in order. Undo does not reach this table.
CREATE TABLE opened (
    number INTEGER PRIMARY KEY,
    after_strokes INTEGER NOT NULL,
    board_share REAL NOT NULL,
    free_share REAL NOT NULL,
    bare_share REAL NOT NULL,
    check_sum INTEGER NOT NULL
) STRICT;

-- The same for the photo of a study that is painted without it.
CREATE TABLE photo_opened (
    number INTEGER PRIMARY KEY,
    after_strokes INTEGER NOT NULL,
    board_share REAL NOT NULL,
    free_share REAL NOT NULL,
    bare_share REAL NOT NULL,
    check_sum INTEGER NOT NULL
) STRICT;

-- For how many seconds the study had been worked on, all told, when a step was recorded. Time that was spent on steps that were undone stays
-- spent, so that the numbers only grow; a step before the first second has no row.
CREATE TABLE worked (
    step INTEGER PRIMARY KEY,
    seconds INTEGER NOT NULL CHECK (seconds > 0),
    check_sum INTEGER NOT NULL
) STRICT;
