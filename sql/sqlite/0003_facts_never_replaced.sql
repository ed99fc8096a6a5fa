-- "Insert or replace" goes past the trigger on deletion: a fact that is there is there.
CREATE TRIGGER facts_are_never_replaced BEFORE INSERT ON facts
WHEN EXISTS (SELECT 1 FROM facts WHERE fact_id = NEW.fact_id)
BEGIN
    SELECT RAISE(ABORT, 'facts are added once, never replaced');
END;
