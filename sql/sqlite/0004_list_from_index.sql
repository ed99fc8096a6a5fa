-- The refill-due list of a site comes from indexes, whatever the roster's size: what it needs of a course is kept by planning.

DROP TABLE plans;

-- Medicine: drug and dose of the present step, in words. Findings: their texts, one a line.
CREATE TABLE plans (
    course_id TEXT NOT NULL PRIMARY KEY REFERENCES courses (course_id),
    medicine TEXT NOT NULL,
    findings TEXT NOT NULL,
    planned_at TEXT NOT NULL
) STRICT;

-- How late a task is depends on the reader's day: it is worked out when it is shown.
ALTER TABLE tasks DROP COLUMN late_days;

-- In the order of the list; what waits for an answer is on it whatever its day.
DROP INDEX open_tasks_by_site;
CREATE INDEX open_tasks_by_site ON tasks (site_id, due_on, task_key) WHERE state NOT IN ('done', 'withdrawn');
CREATE INDEX waiting_tasks_by_site ON tasks (site_id, due_on, task_key) WHERE state = 'waiting';

-- Two patients of one name at one site.
DROP INDEX patients_by_site;
CREATE INDEX patients_by_site ON patients (site_id, name, patient_id);

-- Messages that did not reach their reader.
DROP INDEX outbox_by_site;
CREATE INDEX outbox_not_accepted ON outbox (site_id, decided_at, message_key) WHERE state IN ('bounced', 'expired', 'unknown', 'suppressed');
