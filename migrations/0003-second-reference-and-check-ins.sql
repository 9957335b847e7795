-- A reference contraction of the hamstrings beside that of the quadriceps (which of the two stands in the protocol), all
-- that a number depends on besides, and how a person says the pain was before a sitting and the morning after the last.

ALTER TABLE reference_contractions ADD COLUMN drive TEXT;
ALTER TABLE reference_contractions ADD COLUMN regularisation TEXT;
ALTER TABLE sets ADD COLUMN drive TEXT;
ALTER TABLE sets ADD COLUMN regularisation TEXT;
-- The one above it, reference_id, is the quadriceps'.
ALTER TABLE sets ADD COLUMN hamstring_reference_id INTEGER REFERENCES reference_contractions (id);

-- Name of the drive, terminals, number of readings: from the session's first configuration.
UPDATE sets SET
	drive = (
		SELECT drive || ' ' || terminals || ' ' || (length(pattern) / 8) FROM configurations
		WHERE configurations.session_id = sets.session_id ORDER BY configurations.id LIMIT 1),
	regularisation = (SELECT prior || ' ' || rule FROM sessions WHERE sessions.id = sets.session_id);
-- A reference was always recorded in a session: the person's last one that had begun by then.
UPDATE reference_contractions SET
	drive = (
		SELECT drive || ' ' || terminals || ' ' || (length(pattern) / 8) FROM configurations
		WHERE configurations.session_id = (
			SELECT id FROM sessions
			WHERE sessions.person_id = reference_contractions.person_id
				AND julianday(started_at) <= julianday(taken_at)
			ORDER BY julianday(started_at) DESC LIMIT 1)
		ORDER BY configurations.id LIMIT 1),
	regularisation = (
		SELECT prior || ' ' || rule FROM sessions
		WHERE sessions.person_id = reference_contractions.person_id
			AND julianday(started_at) <= julianday(taken_at)
		ORDER BY julianday(started_at) DESC LIMIT 1);

CREATE TABLE pain_check_ins (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	person_id INTEGER NOT NULL REFERENCES people (id),
	told_at TEXT NOT NULL,
	-- 0 to 10, before the exercises; NULL where not answered.
	pain_now REAL,
	-- 0 to 10, on the morning after the sitting before; NULL where it was not asked.
	pain_next_morning REAL
) STRICT;
CREATE INDEX pain_check_ins_by_person ON pain_check_ins (person_id);
