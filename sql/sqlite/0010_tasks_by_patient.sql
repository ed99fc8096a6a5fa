-- The tasks of a patient lie together, because planning reads and writes them together; and what is found by its key lies by what the key is about,
-- so that the tasks and moves of one cycle share a page instead of lying one a kind.

CREATE TABLE tasks_of_patients (
    patient_id TEXT NOT NULL REFERENCES patients (patient_id),
    task_key TEXT NOT NULL CHECK (task_key <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('refill-contact', 'prepare', 'hand-over', 'ship', 'renewal-request', 'step-up-check',
        'missed-dose-check', 'supply-review', 'discard-notice', 'sharps-return', 'sharps-overdue', 'cannot-reach', 'arrival-check', 'recall-call')),
    site_id TEXT NOT NULL REFERENCES sites (site_id),
    course_id TEXT REFERENCES courses (course_id),
    sharps_id TEXT REFERENCES sharps (sharps_id),
    planned_on TEXT NOT NULL,
    due_on TEXT NOT NULL,
    due_at TEXT NOT NULL,
    reason TEXT NOT NULL CHECK (reason <> ''),
    state TEXT NOT NULL CHECK (state IN ('planned', 'due', 'waiting', 'overdue', 'done', 'withdrawn')),
    changed_at TEXT NOT NULL,
    changed_by TEXT NOT NULL,
    version INTEGER NOT NULL CHECK (version > 0),
    postponed_because TEXT,
    digest INTEGER NOT NULL,
    PRIMARY KEY (patient_id, task_key),
    CHECK ((course_id IS NULL) <> (sharps_id IS NULL))
) STRICT, WITHOUT ROWID;

INSERT INTO tasks_of_patients (patient_id, task_key, kind, site_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state, changed_at,
    changed_by, version, postponed_because, digest)
SELECT patient_id, task_key, kind, site_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state, changed_at,
    changed_by, version, postponed_because, digest
FROM tasks ORDER BY patient_id, task_key;

DROP TABLE tasks;
ALTER TABLE tasks_of_patients RENAME TO tasks;

-- In the order of the list, and what comes due; what waits for an answer is on it whatever its day.
CREATE INDEX open_tasks_by_site ON tasks (site_id, due_on, task_key, state, due_at) WHERE state NOT IN ('done', 'withdrawn');
CREATE INDEX waiting_tasks_by_site ON tasks (site_id, due_on, task_key) WHERE state = 'waiting';

-- By the key without its kind.
CREATE INDEX tasks_by_subject ON tasks (substr(task_key, instr(task_key, '/') + 1));

DROP INDEX audit_by_subject;
CREATE INDEX audit_by_subject ON audit (substr(subject, instr(subject, '/') + 1));
