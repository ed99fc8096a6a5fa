-- A row that was changed behind the program's back does not carry its digest any more, and a row that is gone is missed by the one who counts
-- on it: of what is shown as a number, nothing is shown that is not as it was written.

-- Who is to be planned anew does not change because of the digests.
CREATE TEMP TABLE wanted_before AS SELECT patient_id FROM planning_wanted;

ALTER TABLE sites ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE sites SET digest = row_digest(site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on, calendar_known_through, staff_email,
    pharmacist_email, manager_email, sender_email, phone, emergency_number, sharps_return, sharps_return_es);

ALTER TABLE patients ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE patients SET digest = row_digest(patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language,
    time_zone, handover);

ALTER TABLE products ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE products SET digest = row_digest(product_id, drug, kind, unit, strength_amount, strength_per, volume, dose_amount, in_use_days, in_use_count,
    dial_step, dial_max, prime, first_prime, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, size_of, label_en,
    label_es, check_prompts);

ALTER TABLE devices ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE devices SET digest = row_digest(device_id, name, capacity, graduation, marked_in, units_per_ml, dead_space, sharps_per_injection);

ALTER TABLE courses ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE courses SET digest = row_digest(course_id, patient_id, started_on, device_id, expelled, fill_days, early_fill_percent);

ALTER TABLE steps ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE steps SET digest = row_digest(course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled);

ALTER TABLE prescriptions ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE prescriptions SET digest = row_digest(rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone);

ALTER TABLE sharps ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE sharps SET digest = row_digest(sharps_id, patient_id, capacity, issued_on, returned_on, written_off_on, container_class);

ALTER TABLE facts ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
DROP TRIGGER facts_are_never_edited;
UPDATE facts SET digest = row_digest(fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step,
    days_supply, note, recorded_at, recorded_by);
CREATE TRIGGER facts_are_never_edited BEFORE UPDATE ON facts
BEGIN
    SELECT RAISE(ABORT, 'facts are added, never edited');
END;

-- When it was planned is not in it: a line that says the same is not written again.
ALTER TABLE plans ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE plans SET digest = row_digest(course_id, medicine, findings);

ALTER TABLE planning ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE planning SET digest = row_digest(patient_id, site_id, record, figures, change_on);

-- Of each patient, the digests of all rows that are about it (patient, courses, steps, prescriptions, facts, sharps), combined without order.
CREATE TABLE patient_digests (
    patient_id TEXT NOT NULL PRIMARY KEY,
    digest INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

INSERT INTO patient_digests (patient_id, digest)
SELECT patient_id, digests_combined(digest) FROM (
    SELECT patient_id, digest FROM patients
    UNION ALL SELECT patient_id, digest FROM courses
    UNION ALL SELECT courses.patient_id, steps.digest FROM steps JOIN courses ON courses.course_id = steps.course_id
    UNION ALL SELECT courses.patient_id, prescriptions.digest FROM prescriptions JOIN courses ON courses.course_id = prescriptions.course_id
    UNION ALL SELECT courses.patient_id, facts.digest FROM facts JOIN courses ON courses.course_id = facts.course_id
    UNION ALL SELECT patient_id, digest FROM sharps
)
GROUP BY patient_id;

-- Of each site's days, the digests of the open tasks that fall on them, likewise; those that wait for an answer by themselves.
CREATE TABLE task_days (
    site_id TEXT NOT NULL,
    is_waiting INTEGER NOT NULL CHECK (is_waiting IN (0, 1)),
    due_on TEXT NOT NULL,
    digest INTEGER NOT NULL,
    PRIMARY KEY (site_id, is_waiting, due_on)
) STRICT, WITHOUT ROWID;

INSERT INTO task_days (site_id, is_waiting, due_on, digest)
SELECT site_id, state = 'waiting', due_on, digests_combined(digest) FROM tasks WHERE state NOT IN ('done', 'withdrawn') GROUP BY 1, 2, 3;

-- How many patients of a site have a name.
CREATE TABLE patient_names (
    site_id TEXT NOT NULL,
    name TEXT NOT NULL,
    patients INTEGER NOT NULL CHECK (patients > 0),
    digest INTEGER NOT NULL,
    PRIMARY KEY (site_id, name)
) STRICT, WITHOUT ROWID;

INSERT INTO patient_names (site_id, name, patients, digest)
SELECT site_id, name, count(*), row_digest(site_id, name, count(*)) FROM patients GROUP BY site_id, name;

-- Of all sites, products and devices, likewise.
ALTER TABLE reference_version ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
UPDATE reference_version SET digest = (
    SELECT ifnull(digests_combined(digest), 0) FROM (SELECT digest FROM sites UNION ALL SELECT digest FROM products UNION ALL SELECT digest FROM devices)
);

-- Patients who could not be planned, until they are. The one without a name: all of them. No site: its patient's cannot be read.
CREATE TABLE planning_failures (
    patient_id TEXT NOT NULL PRIMARY KEY,
    site_id TEXT,
    since TEXT NOT NULL,
    reason TEXT NOT NULL CHECK (reason <> '')
) STRICT, WITHOUT ROWID;

ALTER TABLE service_life ADD COLUMN backed_up_at TEXT;

-- What the schema was when it was made, and which migrations had been applied.
CREATE TABLE schema_seal (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    digest INTEGER NOT NULL
) STRICT;

DELETE FROM planning_wanted;
INSERT INTO planning_wanted (patient_id) SELECT patient_id FROM wanted_before;
DROP TABLE wanted_before;
