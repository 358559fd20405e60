-- Version 1: reports by week, who wrote them, what they name, and the roll-ups of every series. docs/storage.md explains each table.
-- Times are nanoseconds since 1970 UTC. Sequences and epochs are unsigned numbers with the top bit turned over, so that they sort rightly.
CREATE TABLE store_state (
  one boolean PRIMARY KEY DEFAULT true CHECK (one),
  generation bigint NOT NULL,
  fold integer NOT NULL
);

CREATE TABLE hub (
  journal bigint PRIMARY KEY,
  segment bigint NOT NULL,
  place bigint NOT NULL
);

CREATE TABLE kind_count (
  journal bigint NOT NULL,
  kind integer NOT NULL,
  reports bigint NOT NULL,
  PRIMARY KEY (journal, kind)
);

CREATE TABLE origin (
  id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  node text COLLATE "C" NOT NULL,
  epoch bigint NOT NULL,
  held int8multirange NOT NULL DEFAULT '{}',
  oldest bigint NOT NULL DEFAULT 9223372036854775807,
  newest bigint NOT NULL DEFAULT -9223372036854775808,
  last_arrival bigint NOT NULL DEFAULT -9223372036854775808,
  forks integer NOT NULL DEFAULT 0,
  UNIQUE (node, epoch)
) WITH (fillfactor = 70);

CREATE TABLE thing (
  id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  name text COLLATE "C" NOT NULL UNIQUE
);

CREATE TABLE series (
  id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  item integer NOT NULL,
  quantity integer NOT NULL,
  sensor bytea NOT NULL,
  last_time bigint,
  last_origin integer,
  last_sequence bigint,
  last_units bigint,
  version bigint NOT NULL DEFAULT 0,
  UNIQUE (item, quantity, sensor)
) WITH (fillfactor = 70);

CREATE TABLE roll_up (
  series integer NOT NULL,
  span smallint NOT NULL,
  block bigint NOT NULL,
  buckets bytea NOT NULL,
  PRIMARY KEY (series, span, block)
) WITH (fillfactor = 80);

CREATE TABLE report (
  origin integer NOT NULL,
  kind integer NOT NULL,
  item integer,
  is_fork boolean NOT NULL,
  sequence bigint NOT NULL,
  written bigint NOT NULL,
  time bigint NOT NULL,
  arrived bigint NOT NULL,
  content uuid NOT NULL,
  further integer[],
  bytes bytea NOT NULL,
  PRIMARY KEY (origin, sequence, written, content)
) PARTITION BY RANGE (written);

CREATE INDEX report_kind_time ON report (kind, time);
CREATE INDEX report_item_time ON report (item, time) WHERE item IS NOT NULL;
CREATE INDEX report_further ON report USING gin (further) WHERE further IS NOT NULL;

CREATE TABLE report_other PARTITION OF report DEFAULT;

CREATE TABLE report_week (
  week bigint PRIMARY KEY,
  made timestamptz NOT NULL DEFAULT now()
);
