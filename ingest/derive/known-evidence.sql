-- What is known of sessions and stations from before the lines that are walked: nothing, where all are.
-- Makes known_evidence: session_id, evidence_at = still running then for certain; earlier_line: station, earlier_at.
CREATE OR REPLACE TEMP TABLE known_evidence (session_id BIGINT, evidence_at TIMESTAMPTZ);
CREATE OR REPLACE TEMP TABLE earlier_line (station VARCHAR, earlier_at TIMESTAMPTZ)
