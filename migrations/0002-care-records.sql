-- Rehab records: what is planned for a person, reference contractions, sets with what was counted and corrected, notes.
-- Nothing here is deleted by a foreign key on its own: whoever removes a person's record names each table.

-- The same record on every machine, so that a file that is read twice is known; 32 hexadecimal digits.
ALTER TABLE people ADD COLUMN record_key TEXT NOT NULL DEFAULT '';
UPDATE people SET record_key = lower(hex(randomblob(16)));
CREATE UNIQUE INDEX people_by_record_key ON people (record_key);
ALTER TABLE people ADD COLUMN goals TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN archived INTEGER NOT NULL DEFAULT 0 CHECK (archived IN (0, 1));
-- Which version of the cautions the person was told, and when; NULL for never.
ALTER TABLE people ADD COLUMN cautions_version INTEGER;
ALTER TABLE people ADD COLUMN cautions_acknowledged_at TEXT;

-- 1 while its rows are being removed piece by piece: to everybody else it is gone.
ALTER TABLE sessions ADD COLUMN removing INTEGER NOT NULL DEFAULT 0 CHECK (removing IN (0, 1));
CREATE INDEX sessions_removing ON sessions (id) WHERE removing = 1;

-- Exercises that were added here; those of the library are part of the program.
CREATE TABLE own_exercises (
	id TEXT PRIMARY KEY,
	-- JSON, see core/exercise/exercise.ts.
	exercise TEXT NOT NULL CHECK (json_valid(exercise)),
	saved_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE plans (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	person_id INTEGER NOT NULL REFERENCES people (id),
	-- First day on which nothing is prescribed any more, such as 2026-03-04; NULL while it runs.
	ended_on TEXT,
	created_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX plans_by_person ON plans (person_id);

-- A version is never changed: what was prescribed then stays known.
CREATE TABLE plan_versions (
	plan_id INTEGER NOT NULL REFERENCES plans (id),
	-- 1, 2, 3 … without gaps.
	version INTEGER NOT NULL,
	from_day TEXT NOT NULL,
	-- JSON, see core/exercise/plan.ts; items hold their exercise as it was.
	items TEXT NOT NULL CHECK (json_valid(items)),
	schedule TEXT NOT NULL CHECK (json_valid(schedule)),
	reason TEXT NOT NULL,
	saved_ms INTEGER NOT NULL,
	PRIMARY KEY (plan_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE reference_contractions (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	-- NULL when it was taken of nobody in particular.
	person_id INTEGER REFERENCES people (id),
	taken_at TEXT NOT NULL,
	-- JSON: effort, contractions and their times.
	protocol TEXT NOT NULL CHECK (json_valid(protocol)),
	unit TEXT NOT NULL CHECK (unit IN ('S/m', 'relative')),
	-- JSON list of {id, name, reference}.
	regions TEXT NOT NULL CHECK (json_valid(regions)),
	-- What it was measured with.
	band_id INTEGER NOT NULL REFERENCES bands (id),
	band_level_fraction REAL NOT NULL,
	first_electrode_deg REAL NOT NULL,
	side TEXT NOT NULL CHECK (side IN ('left', 'right')),
	circumference_m REAL NOT NULL,
	frequency_hz REAL NOT NULL,
	-- r.m.s.
	current_ma REAL NOT NULL,
	software_version TEXT NOT NULL,
	simulated INTEGER NOT NULL CHECK (simulated IN (0, 1))
) STRICT;
CREATE INDEX reference_contractions_by_person ON reference_contractions (person_id);

CREATE TABLE sets (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	session_id INTEGER NOT NULL REFERENCES sessions (id),
	stored_at TEXT NOT NULL,
	-- What it was done for; NULL without a plan.
	plan_id INTEGER REFERENCES plans (id),
	plan_version INTEGER,
	item_index INTEGER,
	-- JSON of the exercise, dose and side as prescribed at the time.
	item TEXT NOT NULL CHECK (json_valid(item)),
	-- 1 for the first of its exercise.
	set_number INTEGER NOT NULL,
	-- The board's clock, as device_time_us of frames.
	start_s REAL NOT NULL,
	end_s REAL NOT NULL,
	-- Region that was counted in; NULL where the person counted.
	counted_in TEXT,
	-- JSON, see core/exercise/repetition.ts and set-summary.ts; times on the board's clock.
	repetitions TEXT NOT NULL CHECK (json_valid(repetitions)),
	summary TEXT CHECK (summary IS NULL OR json_valid(summary)),
	-- Full and partial ones, by the counter and by the person during the set; NULL where unknown.
	automatic_full INTEGER,
	automatic_partial INTEGER,
	personal_full INTEGER,
	personal_partial INTEGER,
	-- 0 to 10, asked before the exercise; NULL where not answered.
	pain_before REAL,
	-- JSON of pain, effort and symptoms after it; NULL where the questions were left unanswered.
	answer TEXT CHECK (answer IS NULL OR json_valid(answer)),
	-- What it was measured with.
	band_id INTEGER NOT NULL REFERENCES bands (id),
	reference_id INTEGER REFERENCES reference_contractions (id),
	band_level_fraction REAL NOT NULL,
	first_electrode_deg REAL NOT NULL,
	side TEXT NOT NULL CHECK (side IN ('left', 'right')),
	circumference_m REAL NOT NULL,
	frequency_hz REAL NOT NULL,
	-- r.m.s.
	current_ma REAL NOT NULL,
	software_version TEXT NOT NULL,
	simulated INTEGER NOT NULL CHECK (simulated IN (0, 1))
) STRICT;
CREATE INDEX sets_by_session ON sets (session_id);

-- Kept beside the automatic count; the newest holds.
CREATE TABLE set_corrections (
	set_id INTEGER NOT NULL REFERENCES sets (id),
	-- 1, 2, 3 … in the order made.
	number INTEGER NOT NULL,
	full_count INTEGER NOT NULL,
	partial_count INTEGER NOT NULL,
	made_by TEXT NOT NULL CHECK (made_by IN ('patient', 'clinician')),
	made_at TEXT NOT NULL,
	reason TEXT NOT NULL,
	PRIMARY KEY (set_id, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE soap_notes (
	session_id INTEGER PRIMARY KEY REFERENCES sessions (id),
	subjective TEXT NOT NULL,
	objective TEXT NOT NULL,
	assessment TEXT NOT NULL,
	plan TEXT NOT NULL,
	saved_at TEXT NOT NULL
) STRICT;
