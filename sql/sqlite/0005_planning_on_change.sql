-- A plan is a function of what is on record, of settings and of the dates that it names. Here stands what planning needs of each patient,
-- packed in one row, what it last found, and from which date on time alone may change that. All of it can be thrown away and made again.

CREATE TABLE planning (
    patient_id TEXT NOT NULL PRIMARY KEY REFERENCES patients (patient_id),
    site_id TEXT NOT NULL REFERENCES sites (site_id),
    record BLOB NOT NULL,
    figures BLOB NOT NULL,
    change_on TEXT CHECK (change_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]')
) STRICT, WITHOUT ROWID;

CREATE INDEX planning_by_change ON planning (site_id, change_on);

-- Patients about whom something new is on record: to be planned anew.
CREATE TABLE planning_wanted (
    patient_id TEXT NOT NULL PRIMARY KEY
) STRICT, WITHOUT ROWID;

INSERT INTO planning_wanted (patient_id) SELECT DISTINCT patient_id FROM courses;

-- What the last planning of all patients stood on (settings, sites, products, devices), and how far the present one has come.
CREATE TABLE planning_basis (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    basis TEXT NOT NULL,
    coming_basis TEXT,
    done_through TEXT,
    CHECK ((coming_basis IS NULL) = (done_through IS NULL))
) STRICT;

INSERT INTO planning_basis (only_row, basis) VALUES (1, '');

-- Grows with each change of a site, a product or a device.
CREATE TABLE reference_version (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    version INTEGER NOT NULL
) STRICT;

INSERT INTO reference_version (only_row, version) VALUES (1, 1);

CREATE TRIGGER planning_wanted_by_fact AFTER INSERT ON facts
BEGIN
    INSERT INTO planning_wanted (patient_id) SELECT patient_id FROM courses WHERE course_id = NEW.course_id ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_course AFTER INSERT ON courses
BEGIN
    INSERT INTO planning_wanted (patient_id) VALUES (NEW.patient_id) ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_step AFTER INSERT ON steps
BEGIN
    INSERT INTO planning_wanted (patient_id) SELECT patient_id FROM courses WHERE course_id = NEW.course_id ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_prescription AFTER INSERT ON prescriptions
BEGIN
    INSERT INTO planning_wanted (patient_id) SELECT patient_id FROM courses WHERE course_id = NEW.course_id ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_changed_prescription AFTER UPDATE ON prescriptions
BEGIN
    INSERT INTO planning_wanted (patient_id) SELECT patient_id FROM courses WHERE course_id IN (OLD.course_id, NEW.course_id) ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_sharps AFTER INSERT ON sharps
BEGIN
    INSERT INTO planning_wanted (patient_id) VALUES (NEW.patient_id) ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_changed_sharps AFTER UPDATE ON sharps
BEGIN
    INSERT INTO planning_wanted (patient_id) VALUES (OLD.patient_id), (NEW.patient_id) ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER planning_wanted_by_changed_patient AFTER UPDATE ON patients
BEGIN
    INSERT INTO planning_wanted (patient_id) VALUES (NEW.patient_id) ON CONFLICT DO NOTHING;
END;

CREATE TRIGGER reference_version_by_site AFTER INSERT ON sites
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

CREATE TRIGGER reference_version_by_changed_site AFTER UPDATE ON sites
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

CREATE TRIGGER reference_version_by_product AFTER INSERT ON products
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

CREATE TRIGGER reference_version_by_changed_product AFTER UPDATE ON products
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

CREATE TRIGGER reference_version_by_device AFTER INSERT ON devices
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

CREATE TRIGGER reference_version_by_changed_device AFTER UPDATE ON devices
BEGIN
    UPDATE reference_version SET version = version + 1;
END;

-- Asked by nobody.
DROP INDEX tasks_by_course;

-- One index for the list of a site and for what comes due: moving a task to another state changes one page, to another day two.
DROP INDEX tasks_by_state;
DROP INDEX open_tasks_by_site;
CREATE INDEX open_tasks_by_site ON tasks (site_id, due_on, task_key, state, due_at) WHERE state NOT IN ('done', 'withdrawn');
