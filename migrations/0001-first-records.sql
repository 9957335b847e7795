-- Numbers carry their unit in the column's name. Times of day are RFC 3339 with offset (TEXT) or milliseconds since
-- 1970-01-01 UTC (…_ms). Typed blobs are little-endian and without header unless said otherwise. JSON is RFC 8259.

CREATE TABLE people (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	-- Pseudonym: exports carry this and never the display name.
	code TEXT NOT NULL UNIQUE,
	display_name TEXT,
	affected_side TEXT NOT NULL CHECK (affected_side IN ('left', 'right', 'both', 'none')),
	created_ms INTEGER NOT NULL
) STRICT;

-- Measurements of a limb; a new row whenever they change, so that a session keeps those it was recorded with.
CREATE TABLE limbs (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	person_id INTEGER REFERENCES people (id),
	side TEXT NOT NULL CHECK (side IN ('left', 'right')),
	-- JSON of the outline's shape, lengths in metres.
	outline TEXT NOT NULL CHECK (json_valid(outline)),
	fat_thickness_m REAL NOT NULL,
	-- Fraction of the thigh's length above the knee.
	level_fraction REAL NOT NULL,
	created_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX limbs_by_person ON limbs (person_id);

CREATE TABLE bands (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	electrode_count INTEGER NOT NULL CHECK (electrode_count BETWEEN 2 AND 64),
	electrode_width_m REAL NOT NULL,
	first_electrode_deg REAL NOT NULL,
	direction TEXT NOT NULL CHECK (direction IN ('anticlockwise', 'clockwise')),
	-- JSON list of fractions of the circumference; NULL for even spacing.
	positions TEXT CHECK (positions IS NULL OR json_valid(positions)),
	created_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX bands_by_name ON bands (name);

CREATE TABLE sessions (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	person_id INTEGER REFERENCES people (id),
	limb_id INTEGER REFERENCES limbs (id),
	band_id INTEGER REFERENCES bands (id),
	origin TEXT NOT NULL CHECK (origin IN ('live', 'imported')),
	simulated INTEGER NOT NULL CHECK (simulated IN (0, 1)),
	title TEXT NOT NULL,
	notes TEXT NOT NULL,
	app_version TEXT NOT NULL,
	algorithm_version TEXT NOT NULL,
	prior TEXT NOT NULL CHECK (prior IN ('diagonal', 'laplace')),
	rule TEXT NOT NULL CHECK (rule IN ('noise-figure', 'gcv', 'l-curve')),
	-- JSON of what the board said about itself; NULL for imported sessions.
	board TEXT CHECK (board IS NULL OR json_valid(board)),
	-- r.m.s.
	current_limit_ma REAL,
	-- JSON of an imported file's own set-up; NULL for live sessions.
	setup TEXT CHECK (setup IS NULL OR json_valid(setup)),
	started_at TEXT NOT NULL,
	ended_at TEXT,
	-- NULL while it is being recorded, 1 closed by the app, 0 found open after the app was killed.
	closed_cleanly INTEGER CHECK (closed_cleanly IN (0, 1)),
	-- Who is recording and when it last wrote, to tell a recording under way from one left open by a kill.
	writer_pid INTEGER,
	last_written_ms INTEGER NOT NULL,
	-- Kept in step with the frames by the transaction that stores them.
	frame_count INTEGER NOT NULL,
	-- Device time of the first frame; NULL before it.
	first_time_us INTEGER,
	duration_us INTEGER NOT NULL,
	lost_count INTEGER NOT NULL,
	bad_count INTEGER NOT NULL,
	-- JSON, cause → number of lines.
	bad_by_cause TEXT NOT NULL CHECK (json_valid(bad_by_cause))
) STRICT;
CREATE INDEX sessions_by_person ON sessions (person_id);
CREATE INDEX sessions_left_open ON sessions (id) WHERE closed_cleanly IS NULL;

-- How a band was driven and read. `id` counts within the session.
CREATE TABLE configurations (
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	id INTEGER NOT NULL,
	band_index INTEGER NOT NULL,
	-- The number that the board gave it.
	wire_number INTEGER NOT NULL,
	electrode_count INTEGER NOT NULL,
	drive TEXT NOT NULL,
	terminals TEXT NOT NULL CHECK (terminals IN ('four-terminal', 'two-terminal')),
	-- r.m.s.
	current_ma REAL NOT NULL,
	frequency_hz REAL NOT NULL,
	gain REAL NOT NULL,
	-- Volts for each unit of a reading, and the largest magnitude of a reading (0: unknown).
	volts_per_unit REAL NOT NULL,
	full_scale REAL NOT NULL,
	-- uint16 [readings × 4]: source, sink, plus, minus electrode from 0.
	pattern BLOB NOT NULL,
	-- float64 [readings], A; NULL where current_ma holds for all.
	reading_current_a BLOB,
	PRIMARY KEY (session_id, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE frames (
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	-- Counts the session's frames over all bands, from 0, without gaps.
	ordinal INTEGER NOT NULL,
	band_index INTEGER NOT NULL,
	sequence INTEGER NOT NULL,
	-- The board's clock; never runs backwards within a session.
	device_time_us INTEGER NOT NULL,
	received_ms REAL NOT NULL,
	lost_before INTEGER NOT NULL,
	configuration_id INTEGER NOT NULL,
	-- Share of the readings that could be used.
	quality REAL NOT NULL CHECK (quality BETWEEN 0 AND 1),
	-- The readings exactly as received: byte 0 the form (1 int16, 2 int24, 3 int32, 4 float32, 5 float64), byte 1 the
	-- decimal exponent e (0 in forms 4 and 5), then the values; in forms 1 to 3 a reading is integer ÷ 10^e in
	-- float64 arithmetic.
	readings BLOB NOT NULL,
	PRIMARY KEY (session_id, ordinal),
	FOREIGN KEY (session_id, configuration_id) REFERENCES configurations (session_id, id)
) STRICT;

CREATE TABLE baselines (
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	band_index INTEGER NOT NULL,
	-- The first frame that it holds for.
	from_ordinal INTEGER NOT NULL,
	configuration_id INTEGER NOT NULL,
	taken_at TEXT NOT NULL,
	duration_s REAL NOT NULL,
	frame_count INTEGER NOT NULL,
	automatic INTEGER NOT NULL CHECK (automatic IN (0, 1)),
	-- float64 [readings], in the configuration's unit: median and standard deviation at rest.
	median BLOB NOT NULL,
	noise BLOB NOT NULL,
	-- A second baseline taken before another frame arrived takes the first one's place.
	PRIMARY KEY (session_id, band_index, from_ordinal),
	FOREIGN KEY (session_id, configuration_id) REFERENCES configurations (session_id, id)
) STRICT;

-- What computed a run of region means. `id` counts within the session.
CREATE TABLE trend_series (
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	id INTEGER NOT NULL,
	band_index INTEGER NOT NULL,
	algorithm_version TEXT NOT NULL,
	prior TEXT NOT NULL CHECK (prior IN ('diagonal', 'laplace')),
	rule TEXT NOT NULL CHECK (rule IN ('noise-figure', 'gcv', 'l-curve')),
	lambda REAL NOT NULL,
	noise_figure REAL NOT NULL,
	unit TEXT NOT NULL CHECK (unit IN ('S/m', 'relative')),
	-- JSON list of {id, name}.
	regions TEXT NOT NULL CHECK (json_valid(regions)),
	PRIMARY KEY (session_id, id)
) STRICT, WITHOUT ROWID;

-- Region means as computed while recording, one row for each batch that was written.
CREATE TABLE trends (
	session_id INTEGER NOT NULL,
	series_id INTEGER NOT NULL,
	batch INTEGER NOT NULL,
	-- uint32 [n] the frames' ordinals.
	ordinals BLOB NOT NULL,
	-- float64 [n] s since the session's first frame.
	seconds BLOB NOT NULL,
	-- float32 [n × regions], in the series' unit.
	means BLOB NOT NULL,
	PRIMARY KEY (session_id, series_id, batch),
	FOREIGN KEY (session_id, series_id) REFERENCES trend_series (session_id, id)
) STRICT;

CREATE TABLE events (
	id INTEGER PRIMARY KEY,
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	kind TEXT NOT NULL,
	at TEXT NOT NULL,
	-- The frame that was next when it happened.
	ordinal INTEGER NOT NULL,
	label TEXT NOT NULL,
	detail TEXT NOT NULL CHECK (json_valid(detail))
) STRICT;
CREATE INDEX events_by_session ON events (session_id, ordinal);

CREATE TABLE contacts (
	id INTEGER PRIMARY KEY,
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	band_index INTEGER NOT NULL,
	at TEXT NOT NULL,
	ordinal INTEGER NOT NULL,
	-- float64 [electrodes], ohm; NaN where unreadable.
	impedance_ohm BLOB NOT NULL
) STRICT;
CREATE INDEX contacts_by_session ON contacts (session_id, ordinal);

CREATE TABLE settings (
	key TEXT PRIMARY KEY,
	value TEXT NOT NULL CHECK (json_valid(value)),
	saved_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
