-- What the mailbox reader needs: whose address a mail came from, and when the mailbox was last read.

CREATE INDEX patients_by_email ON patients (email COLLATE NOCASE) WHERE email IS NOT NULL;

ALTER TABLE service_life ADD COLUMN mailbox_read_at TEXT;
