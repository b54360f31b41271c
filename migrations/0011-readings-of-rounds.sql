-- A round's readings say their kind, as a fault's do: without it one over the meter's range was left out of every trend.

UPDATE check_readings SET (resolution, kind) = (
  SELECT json_extract(n.reading, '$.resolution'), json_extract(n.reading, '$.kind')
  FROM visit_findings n WHERE n.id = check_readings.id)
WHERE fault_id IS NULL AND id IN (SELECT id FROM visit_findings WHERE kind = 'reading');

DROP TRIGGER visit_findings_kept_as_readings;
CREATE TRIGGER visit_findings_kept_as_readings AFTER INSERT ON visit_findings WHEN NEW.kind = 'reading'
BEGIN
  INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, kind,
    min, max, after_work)
  SELECT v.position_id, NEW.tree, NEW."check", NEW.at, NEW.id, NULL, NEW.value, NEW.unit,
    json_extract(NEW.reading, '$.resolution'), json_extract(NEW.reading, '$.kind'),
    json_extract(NEW.range, '$.min'), json_extract(NEW.range, '$.max'), 0
  FROM visits v WHERE v.id = NEW.visit_id;
END;
