//! What the system tells of a process that has nothing left to do: tests wait for that instead of for a time.

use std::path::PathBuf;

/// How often the threads of a process have been woken since they started: the switches between them and others
/// (`man 5 proc`, "status"); none when it has ended.
pub fn wakes(process: u32) -> Option<u64> {
    let threads = std::fs::read_dir(format!("/proc/{process}/task")).ok()?;
    let statuses = threads.flatten().filter_map(|t| std::fs::read_to_string(t.path().join("status")).ok());
    Some(statuses.map(|status| switches(&status)).sum())
}

/// Switches in the text of a thread's status, wanted by it or not.
fn switches(status: &str) -> u64 {
    let counts = status.lines().filter_map(|line| line.split_once("_ctxt_switches:")?.1.trim().parse::<u64>().ok());
    counts.sum()
}

/// How many threads of a process neither sleep nor have ended, and the processor time of all, in ticks (`man 5 proc`); none when it has ended.
pub fn activity(process: u32) -> Option<(usize, u64)> {
    let fields = |path: PathBuf| {
        let stat = std::fs::read_to_string(path).ok()?;
        // The name in brackets may hold anything; the state follows it.
        let fields = stat.rsplit_once(") ")?.1.split(' ').map(str::to_owned);
        Some(fields.collect::<Vec<_>>())
    };
    let of_process = fields(format!("/proc/{process}/stat").into())?;
    let ticks: u64 = [11, 12].iter().filter_map(|&i| of_process.get(i)?.parse::<u64>().ok()).sum();
    let threads = std::fs::read_dir(format!("/proc/{process}/task")).ok()?;
    let stats = threads.flatten().filter_map(|t| fields(t.path().join("stat")));
    let awake = stats.filter(|f| f.first().is_some_and(|state| state != "S" && state != "Z")).count();
    Some((awake, ticks))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::driven::wait_for;
    use std::process::Command;

    #[test]
    fn both_kinds_of_switches_are_counted() {
        let status = "State:\tS (sleeping)\nvoluntary_ctxt_switches:\t150\nnonvoluntary_ctxt_switches:\t3\n";
        assert_eq!(switches(status), 153);
        let mut working =
            Command::new("sh").args(["-c", "while :; do sleep 0.01; done"]).spawn().expect("there is a shell");
        let first = wakes(working.id());
        wait_for("a process that works to be woken", || wakes(working.id()) > first);
        working.kill().expect("a child of ours");
        working.wait().expect("a child of ours");
    }
}
