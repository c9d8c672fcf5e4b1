"""Whether the soak sees what it is there for: ``python -m tests.faults.bugs [NAME …] [--reps 240] [--seeds 1 2 3]``.

Puts one bug after another into the client or the server, and soaks each with one seed after another until it is found.
After each a line of JSON; the last line counts those that were found. It ends with 1 if one was not.
"""

import argparse
import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.faults.soak.__main__ import run
from tests.faults.soak.network import Patch
from tests.faults.soak.run import Plan
from tests.faults.soak.server_bugs import SERVER

WHOEVER_IT_IS = 'index("mine").openCursor([club, by, State.WAITING])'
SENDS = "      const answer = await this.api.send("
ANEW = """      for (const item of items) {
        item.uuid = crypto.randomUUID();
        item.event = { ...item.event, uuid: item.uuid };
      }
      await this.store.change(items.map(({ id, uuid, event }) => ({ id, uuid, event })));
"""
AS_IF_SENT = "      await this.store.change(items.map(({ id }) => ({ id, state: State.SERVER })));\n"
STOPS = "      else if (STOPPING.includes(answer.status)) return this.stop(answer.status);"
REFUSES = "      else if ([401, 403].includes(answer.status) && items.length) await this.refused(items, answer.body);\n"
LOCKS = "    if (!this.locks) return this.run();"
TAKES_BACK = "for (const uuid of entry.uuids) this.emit("
ONE_BEFORE = "(this.entries[this.entries.length - 1] || entry).uuids"

STRICT = '"readwrite", { durability: "strict" });\n  }\n\n  // drafts'
IS_MEANT = "        if (!stuck.has(item.practice) &&"
OF_THE_TURN = "const content = { athlete: turn.athlete, drill: turn.drill, watched,"
OF_THE_NEXT = "const content = { athlete: (this.line[1] || turn).athlete, drill: turn.drill, watched,"
LATER = "      else if (answer.status >= 500 ||"
AS_IF_TAKEN = "items.map(({ uuid }) => ({ uuid, state: 'accepted' })), now: new Date().toISOString()"
ALL_IS_WELL = (
    f"      else if (answer.status >= 500 && items.length) await this.answered(items, {{ results: {AS_IF_TAKEN} }});\n"
)

CLIENT: dict[str, tuple[Patch, ...]] = {
    "drops_the_flush_lock": (Patch("flush", LOCKS, "    return this.run();"),),
    "ticks_before_the_commit": (
        Patch("store", "const [found] = await Promise.all([ids, ended]);", "const found = await ids;"),
    ),
    "forgets_durability": (Patch("store", STRICT, STRICT.replace("strict", "relaxed")),),
    "deletes_before_the_answer": (Patch("flush", SENDS, AS_IF_SENT + SENDS),),
    "sends_everybodys": (
        Patch("store", WHOEVER_IT_IS, "openCursor()"),
        Patch("store", IS_MEANT, IS_MEANT.replace("(", "(item.state === State.WAITING && ", 1)),
    ),
    "gives_a_new_uuid_at_each_try": (Patch("flush", SENDS, ANEW + SENDS),),
    "takes_401_for_a_rejection": (Patch("flush", STOPS, REFUSES + STOPS),),
    "takes_back_the_wrong_rep": (Patch("log", TAKES_BACK, TAKES_BACK.replace("entry.uuids", ONE_BEFORE)),),
    "gives_the_rep_to_the_next": (Patch("log", OF_THE_TURN, OF_THE_NEXT),),
    "takes_an_error_for_an_answer": (Patch("flush", LATER, ALL_IS_WELL + LATER),),
}


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.bugs", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", default=[], help=", ".join([*CLIENT, *SERVER]))
    parser.add_argument("--reps", type=int, default=240)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--minutes", type=float, default=4.0, help="for one seed")
    given = parser.parse_args(arguments)
    os.environ.pop("SIXMARK_DATABASE_URL", None)
    names = given.names or [*CLIENT, *SERVER]
    with TemporaryDirectory() as folder:
        ground = Path(folder) / "ground"
        found = {name: any(soaked(name, given, ground)) for name in names}
    missed = [name for name, caught in found.items() if not caught]
    print(json.dumps({"bugs": len(found), "caught": len(found) - len(missed), "missed": missed}))
    return int(bool(missed))


def soaked(name: str, given: argparse.Namespace, ground: Path) -> Iterator[bool]:
    """With one seed after another, whether it was found."""
    for seed in given.seeds:
        bug = name if name in SERVER else ""
        plan = Plan(seed, given.reps, given.minutes, act_share=0.15, patches=CLIENT.get(name, ()), bug=bug)
        faults, said = run(plan, ground)
        told = {"bug": name, "seed": seed, "reps_and_sets": said["reps_and_sets"], "faults": len(faults)}
        print(json.dumps({**told, "first": faults[0][:300] if faults else ""}), flush=True)
        yield bool(faults)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
