-- What a pharmacist signed for with an approval: dose, product, strength and syringe as they were. Where they are others today, the approval counts
-- no longer. An approval without a row here (imported, or of an earlier version) counts as it stands.
CREATE TABLE signatures (
    fact_id TEXT NOT NULL PRIMARY KEY REFERENCES facts (fact_id),
    signed TEXT NOT NULL CHECK (signed <> ''),
    digest INTEGER NOT NULL
) STRICT;

CREATE TRIGGER signatures_are_never_edited BEFORE UPDATE ON signatures
BEGIN
    SELECT RAISE(ABORT, 'signatures are added, never edited');
END;

CREATE TRIGGER signatures_are_never_deleted BEFORE DELETE ON signatures
BEGIN
    SELECT RAISE(ABORT, 'signatures are added, never deleted');
END;

-- Who has, or had, a lot.
CREATE INDEX facts_by_lot ON facts (lot) WHERE lot IS NOT NULL;
