-- The words in capitals for a number and for bytes stand for the database's own types
-- and a semicolon stands only at the end of a statement.

-- news goes up with every batch and membership entry. It tells a relay that another one has stored something
CREATE TABLE notebooks (
    id BYTES PRIMARY KEY,
    members NUMBER NOT NULL,
    last_entry BYTES NOT NULL,
    news NUMBER NOT NULL,
    stored_bytes NUMBER NOT NULL,
    batches NUMBER NOT NULL,
    made_s NUMBER NOT NULL
);

CREATE TABLE membership (
    notebook BYTES NOT NULL,
    number NUMBER NOT NULL,
    entry BYTES NOT NULL,
    PRIMARY KEY (notebook, number)
);

-- The members of each notebook's present epoch, so that a device finds its notebooks
CREATE TABLE devices (
    device BYTES NOT NULL,
    notebook BYTES NOT NULL,
    PRIMARY KEY (device, notebook)
);

CREATE INDEX devices_by_notebook ON devices (notebook);

-- The last point of each author, and the last one whose batch was removed behind a snapshot
CREATE TABLE tips (
    notebook BYTES NOT NULL,
    device BYTES NOT NULL,
    last NUMBER NOT NULL,
    content BYTES NOT NULL,
    removed_to NUMBER NOT NULL,
    removed_content BYTES NOT NULL,
    PRIMARY KEY (notebook, device)
);

CREATE TABLE batches (
    notebook BYTES NOT NULL,
    device BYTES NOT NULL,
    first NUMBER NOT NULL,
    last NUMBER NOT NULL,
    epoch NUMBER NOT NULL,
    content BYTES NOT NULL,
    bytes NUMBER NOT NULL,
    sealed BYTES NOT NULL,
    PRIMARY KEY (notebook, device, first)
);

CREATE TABLE acknowledgements (
    notebook BYTES NOT NULL,
    device BYTES NOT NULL,
    signed BYTES NOT NULL,
    PRIMARY KEY (notebook, device)
);

CREATE TABLE snapshots (
    notebook BYTES PRIMARY KEY,
    manifest BYTES NOT NULL
);

CREATE TABLE snapshot_parts (
    notebook BYTES NOT NULL,
    hash BYTES NOT NULL,
    part BYTES NOT NULL,
    PRIMARY KEY (notebook, hash)
);

CREATE TABLE mailboxes (
    name BYTES PRIMARY KEY,
    sealed BYTES NOT NULL,
    expires_s NUMBER NOT NULL
);

CREATE INDEX mailboxes_by_expiry ON mailboxes (expires_s)
