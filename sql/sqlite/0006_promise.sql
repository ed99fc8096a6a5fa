-- What the promise about tasks and messages stands on: every move in a chain of hashes, claims with a lease, texts apart from their lives.

-- Who moved what, from where to where. Each row's hash is over the row and the hash before it: none can be changed or taken out unnoticed.
CREATE TABLE audit (
    audit_id INTEGER NOT NULL PRIMARY KEY,
    at TEXT NOT NULL,
    by TEXT NOT NULL CHECK (by <> ''),
    what TEXT NOT NULL CHECK (what IN ('task', 'message', 'sharps', 'patient', 'fact', 'service')),
    subject TEXT NOT NULL,
    before TEXT,
    after TEXT,
    note TEXT,
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;

CREATE INDEX audit_by_subject ON audit (subject, what);

INSERT INTO audit (audit_id, at, by, what, subject, before, after, note, hash)
SELECT move_id, moved_at, moved_by, 'task', task_key, from_state, to_state, note, audit_hash(move_id, moved_at, moved_by, 'task', task_key, from_state, to_state, note)
FROM task_moves ORDER BY move_id;

DROP TABLE task_moves;

CREATE TRIGGER audit_is_never_edited BEFORE UPDATE ON audit
BEGIN
    SELECT RAISE(ABORT, 'the audit is added to, never edited');
END;

CREATE TRIGGER audit_is_never_deleted BEFORE DELETE ON audit
BEGIN
    SELECT RAISE(ABORT, 'the audit is added to, never deleted');
END;

-- A row that was changed behind the program's back does not carry its digest any more, and is not shown as numbers.
ALTER TABLE tasks ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;

UPDATE tasks SET digest = row_digest(task_key, kind, site_id, patient_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state,
    changed_at, changed_by, version, postponed_because);

-- The life of a message: small rows, changed with each mark.
CREATE TABLE messages (
    message_key TEXT NOT NULL PRIMARY KEY CHECK (message_key <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('morning-list', 'patient-notice', 'step-up-alert', 'service-alert')),
    site_id TEXT REFERENCES sites (site_id),
    patient_id TEXT REFERENCES patients (patient_id),
    task_keys TEXT NOT NULL,
    message_id TEXT NOT NULL CHECK (message_id <> ''),
    to_address TEXT CHECK (to_address <> ''),
    decided_at TEXT NOT NULL,
    not_before TEXT NOT NULL,
    expires_at TEXT NOT NULL CHECK (expires_at > not_before),
    state TEXT NOT NULL CHECK (state IN ('queued', 'sending', 'accepted', 'bounced', 'expired', 'unknown', 'suppressed')),
    attempts INTEGER NOT NULL CHECK (attempts >= 0),
    next_attempt_at TEXT NOT NULL,
    lease_until TEXT,
    changed_at TEXT NOT NULL,
    detail TEXT,
    digest INTEGER NOT NULL,
    CHECK (to_address IS NOT NULL OR state = 'suppressed'),
    CHECK ((state = 'sending') = (lease_until IS NOT NULL)),
    CHECK (site_id IS NOT NULL OR kind = 'service-alert')
) STRICT;

-- Its words, written once.
CREATE TABLE letters (
    message_key TEXT NOT NULL PRIMARY KEY REFERENCES messages (message_key),
    language_tag TEXT NOT NULL,
    subject TEXT NOT NULL CHECK (subject <> ''),
    text_body TEXT NOT NULL CHECK (text_body <> ''),
    html_body TEXT NOT NULL CHECK (html_body <> ''),
    digest INTEGER NOT NULL
) STRICT;

-- What a kill before the upgrade left as sending may have gone.
INSERT INTO messages (message_key, kind, site_id, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts,
    next_attempt_at, changed_at, detail, digest)
SELECT message_key, kind, site_id, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts,
    next_attempt_at, changed_at, detail,
    row_digest(message_key, kind, site_id, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts,
        next_attempt_at, NULL, changed_at, detail)
FROM (
    SELECT outbox.*, sha256_start(message_key) || '@' || ifnull(substr(sender_email, instr(sender_email, '@') + 1), 'pharmacy.invalid') AS message_id
    FROM (
        SELECT message_key, kind, site_id, patient_id, task_keys, to_address, decided_at, not_before, expires_at,
            CASE state WHEN 'sending' THEN 'unknown' ELSE state END AS state, attempts, next_attempt_at, changed_at, detail
        FROM outbox
    ) AS outbox LEFT JOIN sites ON sites.site_id = outbox.site_id
);

INSERT INTO letters (message_key, language_tag, subject, text_body, html_body, digest)
SELECT message_key, language_tag, subject, text_body, html_body, row_digest(message_key, language_tag, subject, text_body, html_body) FROM outbox;

DROP TABLE outbox;

CREATE INDEX messages_to_send ON messages (next_attempt_at, message_key) WHERE state IN ('queued', 'unknown');
CREATE INDEX messages_being_sent ON messages (lease_until) WHERE state = 'sending';
CREATE INDEX messages_not_accepted ON messages (site_id, decided_at, message_key) WHERE state IN ('bounced', 'expired', 'unknown', 'suppressed');
CREATE INDEX messages_by_patient ON messages (patient_id);
CREATE INDEX messages_by_message_id ON messages (message_id);

-- What keeps mail from being sent, and until when; without an end a person must say that it may go on.
CREATE TABLE pauses (
    kind TEXT NOT NULL PRIMARY KEY CHECK (kind IN ('restored', 'clock', 'mail-server', 'mail-account', 'mail-refusals')),
    since TEXT NOT NULL,
    until TEXT,
    tries INTEGER NOT NULL CHECK (tries > 0),
    reason TEXT NOT NULL CHECK (reason <> '')
) STRICT;

-- Where a container is in its life, as last audited.
CREATE TABLE sharps_lives (
    sharps_id TEXT NOT NULL PRIMARY KEY REFERENCES sharps (sharps_id),
    state TEXT NOT NULL CHECK (state IN ('issued', 'notice-sent', 'overdue', 'returned', 'written-off'))
) STRICT, WITHOUT ROWID;

-- Grows with each start of the service; its like is kept beside the file, so that an older file put in its place is noticed.
CREATE TABLE service_life (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    starts INTEGER NOT NULL CHECK (starts >= 0),
    mailbox_validity INTEGER NOT NULL DEFAULT 0,
    mailbox_read_through INTEGER NOT NULL DEFAULT 0
) STRICT;

INSERT INTO service_life (only_row, starts) VALUES (1, 0);
