//! What the page of alarms says of the ways in which they are heard.

/// The part of it.
pub(super) const HEARD: &str = "
## Heard

An alarm is heard where the page is open and armed by a tap, and from the program itself by what `alarms.toml` **in the data folder** says:

```toml
[on_alarm]
command = [\"/usr/local/bin/ring\", \"--loud\"]  # a program and its arguments; no shell
time_limit_s = 10          # it is ended after that, 1 to 60
from = \"medium\"            # least priority that is told: low, medium, high, critical
bell = true                # the terminal that the server runs in
second_person = \"Wren\"     # who is called when nobody answers
second_command = [\"/usr/local/bin/call\", \"Wren\"]  # without it, the command above
test_at_start = true       # each output says each priority once when the server starts
```

All keys may be left out; without the file nothing is called and the bell rings. The file is read when the server starts. A mistake in it is said with file, line and key, at the start and by `GET /api/alarms/outputs`; then the bell rings and no command is called. `middlecut alarms test` refuses it too.

The command is told in its environment, never in its arguments:

| variable | what |
|---|---|
| `MIDDLECUT_ALARM_EVENT` | `raised`, `seen`, `cleared`, `quiet`, `normal`, `second_person` or `test` |
| `MIDDLECUT_ALARM_CODE`, `_PRIORITY` | as below |
| `MIDDLECUT_ALARM_TEXT`, `_HOW_SURE`, `_DO`, `_WITHIN_S` | the words; the last is empty where no time is known |
| `MIDDLECUT_ALARM_RUN`, `_STILL`, `_TIME_S` | which run, which still, run time |
| `MIDDLECUT_ALARM_CALL` | the second person, where they are called |

It gets no input, its output goes nowhere, and its exit code is noted. Calls wait in a line of 32; where that is full the least urgent that waits is dropped, and that is said. `middlecut alarms test`, or one key on the page, sends a test through each output and says what came of it.
";
