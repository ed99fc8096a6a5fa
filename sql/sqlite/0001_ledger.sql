-- What is on record. Amounts are billionths of their unit, volumes nanolitres, dates ISO text, so that text order is time order.

CREATE TABLE sites (
    site_id TEXT NOT NULL PRIMARY KEY CHECK (site_id <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    time_zone TEXT NOT NULL CHECK (time_zone <> ''),
    closed_weekdays TEXT NOT NULL,
    closed_on TEXT NOT NULL,
    carrier_closed_on TEXT NOT NULL,
    calendar_known_through TEXT CHECK (calendar_known_through GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    staff_email TEXT,
    pharmacist_email TEXT,
    manager_email TEXT,
    sender_email TEXT,
    phone TEXT,
    emergency_number TEXT,
    sharps_return TEXT,
    sharps_return_es TEXT
) STRICT;

CREATE TABLE patients (
    patient_id TEXT NOT NULL PRIMARY KEY CHECK (patient_id <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    site_id TEXT NOT NULL REFERENCES sites (site_id),
    born_on TEXT CHECK (born_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    phone TEXT,
    email TEXT CHECK (email <> ''),
    email_agreed_on TEXT CHECK (email_agreed_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    email_opted_out_on TEXT CHECK (email_opted_out_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    status TEXT NOT NULL CHECK (status IN ('active', 'in-care', 'moved', 'deceased')),
    language TEXT NOT NULL CHECK (language IN ('english', 'spanish')),
    time_zone TEXT CHECK (time_zone <> ''),
    handover TEXT NOT NULL CHECK (handover IN ('pickup', 'ship'))
) STRICT;

CREATE INDEX patients_by_site ON patients (site_id);

CREATE TABLE products (
    product_id TEXT NOT NULL PRIMARY KEY CHECK (product_id <> ''),
    drug TEXT NOT NULL CHECK (drug <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('multi-dose-vial', 'single-dose-vial', 'pen', 'prefilled-syringe')),
    unit TEXT NOT NULL CHECK (unit IN ('mg', 'mcg', 'units')),
    strength_amount INTEGER CHECK (strength_amount > 0),
    strength_per INTEGER CHECK (strength_per > 0),
    volume INTEGER CHECK (volume > 0),
    dose_amount INTEGER CHECK (dose_amount > 0),
    in_use_days INTEGER CHECK (in_use_days > 0),
    in_use_count TEXT NOT NULL CHECK (in_use_count IN ('opening-day-is-day-1', 'opening-day-is-day-0')),
    dial_step INTEGER CHECK (dial_step > 0),
    dial_max INTEGER CHECK (dial_max >= dial_step AND dial_max % dial_step = 0),
    prime INTEGER NOT NULL CHECK (prime >= 0),
    first_prime INTEGER NOT NULL CHECK (first_prime >= 0),
    beyond_use_days INTEGER CHECK (beyond_use_days >= 0),
    prepare_open_days INTEGER NOT NULL CHECK (prepare_open_days >= 0),
    cold INTEGER NOT NULL CHECK (cold IN (0, 1)),
    hazardous INTEGER NOT NULL CHECK (hazardous IN (0, 1)),
    max_dose INTEGER CHECK (max_dose > 0),
    min_every_days INTEGER CHECK (min_every_days > 0),
    size_of TEXT REFERENCES products (product_id),
    label_en TEXT,
    label_es TEXT,
    check_prompts TEXT,
    CHECK ((kind = 'prefilled-syringe') = (dose_amount IS NOT NULL)),
    CHECK ((kind = 'prefilled-syringe') = (volume IS NULL)),
    CHECK ((strength_amount IS NULL) = (volume IS NULL) AND (strength_per IS NULL) = (volume IS NULL)),
    CHECK ((kind = 'pen') = (dial_step IS NOT NULL) AND (kind = 'pen') = (dial_max IS NOT NULL)),
    CHECK (size_of <> product_id)
) STRICT;

CREATE TABLE devices (
    device_id TEXT NOT NULL PRIMARY KEY CHECK (device_id <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    capacity INTEGER NOT NULL CHECK (capacity > 0),
    graduation INTEGER NOT NULL CHECK (graduation > 0),
    marked_in TEXT NOT NULL CHECK (marked_in IN ('ml', 'units')),
    units_per_ml INTEGER CHECK (units_per_ml > 0),
    dead_space INTEGER NOT NULL CHECK (dead_space >= 0),
    sharps_per_injection INTEGER NOT NULL CHECK (sharps_per_injection IN (1, 2)),
    CHECK (capacity % graduation = 0),
    CHECK ((marked_in = 'units') = (units_per_ml IS NOT NULL))
) STRICT;

CREATE TABLE courses (
    course_id TEXT NOT NULL PRIMARY KEY CHECK (course_id <> ''),
    patient_id TEXT NOT NULL REFERENCES patients (patient_id),
    started_on TEXT NOT NULL CHECK (started_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    device_id TEXT REFERENCES devices (device_id),
    expelled INTEGER NOT NULL CHECK (expelled >= 0),
    fill_days INTEGER CHECK (fill_days BETWEEN 1 AND 180),
    early_fill_percent INTEGER CHECK (early_fill_percent BETWEEN 0 AND 100)
) STRICT;

CREATE INDEX courses_by_patient ON courses (patient_id);

CREATE TABLE steps (
    course_id TEXT NOT NULL REFERENCES courses (course_id),
    ladder INTEGER NOT NULL CHECK (ladder > 0),
    step INTEGER NOT NULL CHECK (step > 0),
    product_id TEXT NOT NULL REFERENCES products (product_id),
    doses TEXT NOT NULL CHECK (doses <> ''),
    every_days INTEGER NOT NULL CHECK (every_days > 0),
    dose_days INTEGER CHECK (dose_days > 0),
    needs_check INTEGER NOT NULL CHECK (needs_check IN (0, 1)),
    device_id TEXT REFERENCES devices (device_id),
    expelled INTEGER CHECK (expelled >= 0),
    PRIMARY KEY (course_id, ladder, step)
) STRICT, WITHOUT ROWID;

CREATE TABLE prescriptions (
    rx_id TEXT NOT NULL PRIMARY KEY CHECK (rx_id <> ''),
    course_id TEXT NOT NULL REFERENCES courses (course_id),
    issued_on TEXT NOT NULL CHECK (issued_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    refills_authorized INTEGER NOT NULL CHECK (refills_authorized >= 0),
    valid_through TEXT CHECK (valid_through GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    schedule INTEGER CHECK (schedule BETWEEN 2 AND 5),
    prescriber TEXT,
    prescriber_phone TEXT
) STRICT;

CREATE INDEX prescriptions_by_course ON prescriptions (course_id);

CREATE TABLE facts (
    fact_id TEXT NOT NULL PRIMARY KEY CHECK (fact_id <> ''),
    course_id TEXT NOT NULL REFERENCES courses (course_id),
    kind TEXT NOT NULL CHECK (kind IN ('prepared', 'dispensed', 'received', 'counted', 'opened', 'discarded', 'missed', 'paused',
        'resumed', 'approved', 'held', 'ladder-started', 'answered', 'ended', 'void')),
    on_date TEXT NOT NULL CHECK (on_date GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    product_id TEXT REFERENCES products (product_id),
    containers INTEGER CHECK (containers >= 0),
    volume INTEGER CHECK (volume >= 0),
    expires_on TEXT CHECK (expires_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    lot TEXT,
    until TEXT CHECK (until GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    opened_on TEXT CHECK (opened_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    step INTEGER CHECK (step > 0),
    days_supply INTEGER CHECK (days_supply > 0),
    note TEXT,
    recorded_at TEXT NOT NULL,
    recorded_by TEXT NOT NULL
) STRICT;

CREATE INDEX facts_by_course ON facts (course_id, on_date, fact_id);

-- Facts are added, never edited: a mistake is taken back by a further fact.
CREATE TRIGGER facts_are_never_edited BEFORE UPDATE ON facts
BEGIN
    SELECT RAISE(ABORT, 'facts are added, never edited');
END;

CREATE TRIGGER facts_are_never_deleted BEFORE DELETE ON facts
BEGIN
    SELECT RAISE(ABORT, 'facts are added, never deleted');
END;

CREATE TABLE sharps (
    sharps_id TEXT NOT NULL PRIMARY KEY CHECK (sharps_id <> ''),
    patient_id TEXT NOT NULL REFERENCES patients (patient_id),
    capacity INTEGER NOT NULL CHECK (capacity > 0),
    issued_on TEXT NOT NULL CHECK (issued_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
    returned_on TEXT CHECK (returned_on >= issued_on),
    written_off_on TEXT CHECK (written_off_on >= issued_on),
    container_class TEXT
) STRICT;

CREATE INDEX sharps_by_patient ON sharps (patient_id);
