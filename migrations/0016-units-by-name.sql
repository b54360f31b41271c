-- A unit is named by its kind and serial in what the ranking is told of a fault; the faults it was at are found from there.
CREATE INDEX units_named ON units (kind || ' ' || serial);
