-- Something that only a person can see: a rule with `confirm` passes when the job file says true, stops when it says false,
-- and is not known otherwise. An invented company asks for a second look at the trigger lock.
--   impinge test examples/cookbook/05-confirm.lua

rule {
  id = "second-look-at-the-trigger-lock",
  title = "Somebody else has looked at the trigger lock too",
  group = "confirm",
  confirm = "A second person saw the lock on while nobody sprayed",
  confirmed_by = "confirmed.trigger_lock_used", -- the field of the job; without it one is named after the id
  safety = true,                                -- silencing it caps the verdict at caution
  source = "practice",
  advice = "Lock the trigger; a jet goes through gloves and skin.",
}

case { rule = "second-look-at-the-trigger-lock", name = "seen", job = { confirmed = { trigger_lock_used = true } }, verdict = "go" }
case { rule = "second-look-at-the-trigger-lock", name = "seen to be off", job = { confirmed = { trigger_lock_used = false } }, verdict = "stop" }
case { rule = "second-look-at-the-trigger-lock", name = "nobody looked", job = {}, verdict = "not known" }
case { rule = "second-look-at-the-trigger-lock", name = "office", stage = "plan", job = {}, verdict = "to be read on site" }
