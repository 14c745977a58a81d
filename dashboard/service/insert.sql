-- Adds service records.
-- $rows JSON list of objects named as the columns of service_record.
INSERT INTO service_record BY NAME
SELECT unnest(
  from_json_strict(
    $rows,
    '[{"record_id":"BIGINT","machine":"VARCHAR","part":"VARCHAR","task":"VARCHAR","done_at":"TIMESTAMPTZ","done_until":"TIMESTAMPTZ",
       "found":"VARCHAR","why":"VARCHAR","meter_hours":"DOUBLE","readings":"VARCHAR","cost":"DOUBLE","note":"VARCHAR",
       "done_by":"VARCHAR","serial":"VARCHAR","corrects":"BIGINT","withdrawn":"BOOLEAN","entered_at":"TIMESTAMPTZ",
       "entered_by":"VARCHAR","entered_as":"VARCHAR"}]'
  ),
  max_depth := 2
)
