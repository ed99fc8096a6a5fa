-- What follows from the ledger, what people decided about it, and what was really sent. Instants are UTC text of one width.

CREATE TABLE plans (
    course_id TEXT NOT NULL PRIMARY KEY REFERENCES courses (course_id),
    as_of TEXT NOT NULL,
    planned_at TEXT NOT NULL,
    projection TEXT NOT NULL
) STRICT;

CREATE TABLE tasks (
    task_key TEXT NOT NULL PRIMARY KEY CHECK (task_key <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('refill-contact', 'prepare', 'hand-over', 'ship', 'renewal-request', 'step-up-check',
        'missed-dose-check', 'supply-review', 'discard-notice', 'sharps-return', 'sharps-overdue', 'cannot-reach', 'arrival-check', 'recall-call')),
    site_id TEXT NOT NULL REFERENCES sites (site_id),
    patient_id TEXT NOT NULL REFERENCES patients (patient_id),
    course_id TEXT REFERENCES courses (course_id),
    sharps_id TEXT REFERENCES sharps (sharps_id),
    planned_on TEXT NOT NULL,
    due_on TEXT NOT NULL,
    due_at TEXT NOT NULL,
    late_days INTEGER NOT NULL CHECK (late_days >= 0),
    reason TEXT NOT NULL CHECK (reason <> ''),
    state TEXT NOT NULL CHECK (state IN ('planned', 'due', 'waiting', 'overdue', 'done', 'withdrawn')),
    changed_at TEXT NOT NULL,
    changed_by TEXT NOT NULL,
    version INTEGER NOT NULL CHECK (version > 0),
    postponed_because TEXT,
    CHECK ((course_id IS NULL) <> (sharps_id IS NULL))
) STRICT;

CREATE INDEX tasks_by_state ON tasks (state, due_at);
CREATE INDEX tasks_by_patient ON tasks (patient_id);
CREATE INDEX tasks_by_course ON tasks (course_id);
CREATE INDEX open_tasks_by_site ON tasks (site_id, due_on) WHERE state NOT IN ('done', 'withdrawn');

CREATE TABLE task_moves (
    move_id INTEGER NOT NULL PRIMARY KEY,
    task_key TEXT NOT NULL REFERENCES tasks (task_key),
    from_state TEXT,
    to_state TEXT NOT NULL,
    moved_at TEXT NOT NULL,
    moved_by TEXT NOT NULL,
    note TEXT
) STRICT;

CREATE INDEX task_moves_by_task ON task_moves (task_key);

CREATE TABLE outbox (
    message_key TEXT NOT NULL PRIMARY KEY CHECK (message_key <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('morning-list', 'patient-notice', 'step-up-alert', 'service-alert')),
    site_id TEXT NOT NULL REFERENCES sites (site_id),
    patient_id TEXT REFERENCES patients (patient_id),
    task_keys TEXT NOT NULL,
    to_address TEXT CHECK (to_address <> ''),
    language_tag TEXT NOT NULL,
    subject TEXT NOT NULL CHECK (subject <> ''),
    text_body TEXT NOT NULL CHECK (text_body <> ''),
    html_body TEXT NOT NULL CHECK (html_body <> ''),
    decided_at TEXT NOT NULL,
    not_before TEXT NOT NULL,
    expires_at TEXT NOT NULL CHECK (expires_at > not_before),
    state TEXT NOT NULL CHECK (state IN ('queued', 'sending', 'accepted', 'bounced', 'expired', 'unknown', 'suppressed')),
    attempts INTEGER NOT NULL CHECK (attempts >= 0),
    next_attempt_at TEXT NOT NULL,
    changed_at TEXT NOT NULL,
    detail TEXT,
    CHECK (to_address IS NOT NULL OR state = 'suppressed')
) STRICT;

CREATE INDEX outbox_to_send ON outbox (state, next_attempt_at) WHERE state IN ('queued', 'sending', 'unknown');
CREATE INDEX outbox_by_site ON outbox (site_id, state);
CREATE INDEX outbox_by_patient ON outbox (patient_id);

CREATE TABLE runs (
    run_id INTEGER NOT NULL PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind <> ''),
    subject TEXT,
    started_at TEXT NOT NULL,
    finished_at TEXT,
    outcome TEXT NOT NULL CHECK (outcome IN ('running', 'done', 'failed')),
    detail TEXT
) STRICT;

CREATE INDEX runs_by_kind ON runs (kind, started_at);
