-- What was chosen by hand about pictures, and how the fat's thickness is known.

-- NULL where the rule chose it.
ALTER TABLE sessions ADD COLUMN lambda_by_hand REAL CHECK (lambda_by_hand > 0);
ALTER TABLE sessions ADD COLUMN allows_movement INTEGER NOT NULL DEFAULT 0 CHECK (allows_movement IN (0, 1));
ALTER TABLE trend_series ADD COLUMN lambda_by_hand REAL CHECK (lambda_by_hand > 0);
ALTER TABLE trend_series ADD COLUMN allows_movement INTEGER NOT NULL DEFAULT 0 CHECK (allows_movement IN (0, 1));
-- NULL where it was not said.
ALTER TABLE limbs ADD COLUMN fat_source TEXT CHECK (fat_source IN ('ultrasound', 'skinfold', 'assumed'));
