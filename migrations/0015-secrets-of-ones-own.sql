-- Which of the two somebody else chose for this person, so that two people know it: it is to be changed at the next
-- sign-in, before anything else. NULL when the person chose all of it.
ALTER TABLE people ADD COLUMN given TEXT CHECK (given IN ('PIN', 'password', 'PIN and password'));
