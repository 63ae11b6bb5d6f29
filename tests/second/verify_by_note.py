# fmt: off
# ruff: noqa: E401, I001
"""A second verifier, written from the section "The record" of DEVELOPERS.md alone: no code of ferrule is used.
Called as verify_by_note.py LOG [ROSTER ROOT_FINGERPRINT], it ends with the result: 0, 1, 2 or 3."""
import base64, datetime, hashlib, json, re, subprocess, sys, tempfile
from pathlib import Path

ORDER, FIELD, MOST = 2**252 + 27742317777372353535851937790883648493, 2**255 - 19, (("name", 200), ("remarks", 2000))
SMALL = (0, 1, FIELD - 1, E := 0x7A03AC9277FDC74EC6CC392CFA53202A0F67100D760B3CBA4FD84D3D706A17C7, FIELD - E)
HEX, JOB, START = "[0-9a-f]{64}", "[0-9]{8}t[0-9]{6}z-[a-z2-7]{10}", b'{"body":{"boot":'
TIME, OFFSET = r"\d{4}-\d\d-\d\dT(\d\d:){2}\d\d", r"(\.\d{3})?(Z|[+-]\d\d:\d\d)"
SPACES = {"technician": "ferrule-technician@v1", "supervisor": "ferrule-supervisor@v1"}
REVIEWED = "I reviewed this record, countersign the releases by telephone in it, and accept it"
MEANING = {("technician", "accepted"): "I carried out the recorded steps and entered the readings taken.",
           ("supervisor", "accepted"): f"{REVIEWED}.",
           ("supervisor", "accepted with remarks"): f"{REVIEWED} with the remarks above.",
           ("supervisor", "rejected"): "I reviewed this record and reject it for the reasons in the remarks above."}
LAYOUT = (rb"SSHSIG\0\0\0\x01\0\0\0\x33(\0\0\0\x0bssh-ed25519\0\0\0 .{32})\0\0\0(.)([!-~]*)\0\0\0\0\0\0\0\x06sha512"
          rb"\0\0\0\x53\0\0\0\x0bssh-ed25519\0\0\0@(.{32})(.{32})")
FORMS = {"signer": "[A-Za-z0-9][A-Za-z0-9._@+-]{0,127}", "roster": f"none|[0-9]{{1,9}} sha256:{HEX}"}
BEGIN, END = "-----BEGIN SSH SIGNATURE-----\n", "-----END SSH SIGNATURE-----\n"
DAMAGE, BROKEN, UNJUDGED, FALLEN, GOOD = "damage", "broken", "cannot be judged", "does not stand", "good"

class Stop(Exception): ...  # noqa: N818
def need(true, kind=DAMAGE):
    if not true:
        raise Stop(kind)
    return true

def count(v): return type(v) is int and v >= 0
def text(v): return isinstance(v, str) and bool(v.strip())
def any_text(v): return isinstance(v, str)
def thing(v): return isinstance(v, dict)
def like(form): return lambda v: isinstance(v, str) and bool(re.fullmatch(form, v))
def of(*known): return lambda v: isinstance(v, str) and v in known
def null_or(inner): return lambda v: v is None or inner(v)
def each(inner): return lambda v: isinstance(v, list) and all(map(inner, v))
def shape(**members): return lambda v: thing(v) and set(v) == set(members) and all(members[k](v[k]) for k in v)
def sha(data): return hashlib.sha256(data).hexdigest()
def base(data): return base64.b64encode(data).decode()
def canonical(value): return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()

def is_time(v, end=OFFSET):
    try:
        return bool(isinstance(v, str) and re.fullmatch(TIME + end, v, re.A) and datetime.datetime.fromisoformat(v))
    except ValueError:
        return False
def spread(value, level=1, key=""):  # everything inside, keys too, with its depth and the key that it stands under
    yield level, key, value
    for name, inner in value.items() if thing(value) else [(key, v) for v in value] if isinstance(value, list) else ():
        yield from [(0, "", name), *spread(inner, level + 1, name)]
def pairs(found):
    need(len(dict(found)) == len(found) and all(key.isascii() for key, _ in found))
    return dict(found)
def read_line(line):  # body and sum of a whole line; None when its size, frame or sum is wrong
    body, tail = line[8:-75], line[-75:]
    framed = line[:8] == b'{"body":' and body and tail[:8] == b',"sum":"' and tail[-3:] == b'"}\n'
    if len(line) > 2**20 or not framed or tail[8:-3] != sha(body).encode():
        return None
    try:
        found = json.loads(body.decode(), parse_float=lambda _: need(False), parse_constant=lambda _: need(False),
                           parse_int=lambda t: int(need(t != "-0" and len(t) < 18 and abs(int(t)) < 2**53 and t)),
                           object_pairs_hook=pairs)
        need(canonical(found) == body and thing(found))
        for level, key, v in spread(found):
            most = 2**18 if key == "text" and found.get("kind") == "open" else 4096
            need(level <= 64 if isinstance(v, dict | list) else not isinstance(v, str) or len(v.encode()) <= most)
    except (ValueError, RecursionError):
        raise Stop(DAMAGE) from None
    need(shape(boot=lambda v: any_text(v) and v, kind=any_text, wall=is_time, prev=like(HEX), seq=count, mono_ms=count,
               data=thing)(found))
    return found, sha(body)

def texts(v):
    one = shape(role=of("card", "plan", "procedure", "limits", "terms"), id=text, sha256=like(HEX), text=any_text)
    found = [(t["role"], t["id"], t["text"].encode(), t["sha256"]) for t in v] if each(one)(v) else [("", "", b"", "")]
    return (sum(len(t[2]) for t in found) <= 900 * 1024 and len({t[:2] for t in found}) == len(found)
            and all(sha(t[2]) == t[3] and len(t[2]) <= 2**18 for t in found))

KINDS = {
    "open": shape(format=lambda v: count(v) and v == 1, job_id=like(JOB), mode=of("work", "practice"), texts=texts,
                  **dict.fromkeys(("title", "rules", "engine", "platform", "zone", "operator"), text), site=any_text,
                  decimal_sign=of(".", ","), sign_off=of("alone", "supervised", "reviewed later"),
                  roster=null_or(shape(version=count, sha256=like(HEX))), nonce=like("[0-9a-f]{16,64}"),
                  diary=null_or(shape(seq=count, head=like(HEX))), supersedes=null_or(like(JOB))),
    "did": shape(command=thing, person=text, events=each(thing)),
    "checkpoint": shape(stage=text),
    "clock_step": shape(wall_before=is_time, wall_after=is_time, mono_ms_before=count, mono_ms_after=count),
    "resumed": lambda v: shape(reason=text, torn_bytes=count, torn_sha256=null_or(like(HEX)))(v) and (
        (v["torn_bytes"] == 0) == (v["torn_sha256"] is None)),
    "close": shape(outcome=of("complete", "made safe", "put back as found", "to be continued", "stopped", "abandoned"),
                   counts=lambda v: thing(v) and all(map(count, v.values())), reason=any_text),
    "signature": shape(role=of(*SPACES), statement=text, sshsig=text)}

def read_log(data):  # bodies with their sums, and whether the log is torn
    need(len(data) <= 32 * 2**20)
    found, at = [], 0
    while (end := data.find(b"\n", at) + 1) > 0:
        if (line := read_line(data[at:end])) is None:
            need(not data[end:].strip(b"\0"))
            break
        (body, _), last = line, found[-1] if found else ({"mono_ms": 0}, "0" * 64)
        kind, inner = body["kind"], body["data"]
        need(found or type(inner.get("format")) is not int or inner["format"] == 1, UNJUDGED)
        need((body["seq"], body["prev"]) == (len(found), last[1]) and body["mono_ms"] >= last[0]["mono_ms"])
        need((kind == "open") == (not found) and kind in KINDS and KINDS[kind](inner) and len(found) < 20_000)
        need(kind in ("signature", "resumed") or all(b["kind"] != "close" for b, _ in found))
        need(kind != "signature" or found[0][0]["data"]["mode"] == "work")
        found, at = [*found, line], end
    need(START not in data[at + 1 :])
    return found, at < len(data)

def sshsig(armour, space, message):  # the key of a signature that belongs to a message: as base64, and its fingerprint
    need(armour.startswith(BEGIN) and armour.endswith(END) and len(armour) <= 1000, BROKEN)
    blob = base64.b64decode(armour[len(BEGIN) : -len(END)].replace("\n", "").encode(), validate=True)
    need(armour == BEGIN + re.sub("(.{1,70})", "\\1\n", base(blob)) + END, BROKEN)
    found = re.fullmatch(LAYOUT, blob, re.S)
    other = blob[6:10] != b"\0\0\0\1" or blob.count(b"ssh-ed25519") < 2 or b"sha512" not in blob
    need(found or not (blob[:6] == b"SSHSIG" and other), UNJUDGED)
    need(found and (found[2][0], found[3]) == (len(found[3]), space.encode()), BROKEN)
    points = [int.from_bytes(number, "little") & (2**255 - 1) for number in (found[1][-32:], found[4])]
    need(int.from_bytes(found[5], "little") < ORDER and all(y < FIELD and y not in SMALL for y in points), BROKEN)
    with tempfile.NamedTemporaryFile("w", suffix=".sig") as file:
        Path(file.name).write_text(armour)
        asked = ["ssh-keygen", "-Y", "check-novalidate", "-n", space, "-s", file.name]
        need(subprocess.run(asked, input=message, capture_output=True).returncode == 0, BROKEN)
    return base(found[1]), "SHA256:" + base(hashlib.sha256(found[1]).digest()).rstrip("=")

def said(before, role, given):  # the signer's words, if the statement written anew from log and words is the one given
    say = {k: (re.findall(f"^{k}: (.*)$", given, re.M) or [""])[0]
           for k in ("decision", "remarks", "signer", "name", "signed-at", "roster")}
    opened, calls = before[0][0]["data"], [
        str(b["seq"] + 1) for b, _ in before if b["kind"] == "did" for e in b["data"]["events"]
        if e.get("event") == "signed" and e.get("telephone")]
    lines = {"job": opened["job_id"], "texts": f"sha256:{sha(canonical(opened['texts']))}", "rules": opened["rules"],
             "records": str(len(before)), "head": f"sha256:{before[-1][1]}",
             "outcome": next((b["data"]["outcome"] for b, _ in before if b["kind"] == "close"), ""),
             "by-telephone": ", ".join(calls), "role": role, **say, "meaning": MEANING.get((role, say["decision"]), "")}
    made = "ferrule statement 1\n" + "".join(f"{k}: {v}\n" for k, v in lines.items() if v)
    need(made == given and len(made.encode()) <= 4096 and lines["meaning"] and say["name"] and lines["outcome"], BROKEN)
    need(not any(re.search("[\0-\x1f\x7f-\x9f\u2028\u2029]", v) for v in lines.values()), BROKEN)
    need(all(say[k] == say[k].strip() and len(say[k].encode()) <= most for k, most in MOST), BROKEN)
    need(bool(say["remarks"]) == (say["decision"] != "accepted") and is_time(say["signed-at"], "Z"), BROKEN)
    need(all(re.fullmatch(form, say[key]) for key, form in FORMS.items()), BROKEN)
    return say

def entitled(say, role, key, opened, roster):  # whether the roster, as its office signed it, lets this key sign so
    version, named = int((re.findall(r"\A# version (\d+)$", roster, re.M) or [0])[0]), say["roster"].split(" sha256:")
    need(version >= (opened["roster"] or {"version": 1})["version"], UNJUDGED)
    need(named == ["none"] or int(named[0]) < version or named == [str(version), sha(roster.encode())], UNJUDGED)
    line = re.search(f'^(.*) namespaces="(.*)",valid-after="(.*)",valid-before="(.*)" '
                     f"ssh-ed25519 {re.escape(key[0])} (.*)$", roster, re.M)
    gone = dict(re.findall(f"^# (retired|compromised) {re.escape(key[1])} [a-z]+ (.*)$", roster, re.M))
    need(at := line and say["signed-at"], UNJUDGED)
    need((line[1], line[5]) == (say["signer"], say["name"]) and SPACES[role] in line[2].split(","), FALLEN)
    need(line[3] <= re.sub("[-:T]", "", at) <= line[4] and at <= gone.get("retired", at), FALLEN)
    need("compromised" not in gone, UNJUDGED if at < gone.get("compromised", "") else FALLEN)

def judge_one(found, body, roster, marks):  # mark, role, key and words of one signature beside those before it
    role, given, before, key, say = body["data"]["role"], body["data"]["statement"], found[: body["seq"]], "", {}
    try:
        say = said(before, role, given)
        need((body["wall"], body["mono_ms"]) == (say["signed-at"], before[-1][0]["mono_ms"]), BROKEN)
        need(body["boot"] == before[-1][0]["boot"], BROKEN)
        key = sshsig(body["data"]["sshsig"], SPACES[role], given.encode())
        mark = entitled(say, role, key, found[0][0]["data"], roster) or GOOD
    except (Stop, ValueError) as stop:
        mark = str(stop) if isinstance(stop, Stop) else BROKEN
    standing = [m for m in marks if m[0] != BROKEN]
    others = [m for m in standing if m[1] != role]
    clash = any(key == m[2] or (say["signer"] == m[3]["signer"] or say["name"] == m[3]["name"]) for m in others if say)
    if clash or (role == "supervisor" and not others) or (GOOD, role) in [m[:2] for m in standing]:
        mark = BROKEN if mark == BROKEN else FALLEN
    return mark, role, key, say

def judge(data, roster=""):  # the result for the bytes of a log
    try:
        found, torn = read_log(data)
    except Stop as stop:
        return 3 if str(stop) == UNJUDGED else 1
    marks, opened = [], found[0][0]["data"] if found else {"sign_off": "", "rules": "2"}
    for body in (b for b, _ in found if b["kind"] == "signature"):
        marks.append(judge_one(found, body, roster, marks))
    plan = ("technician", "supervisor") if opened["sign_off"] == "supervised" else ("technician",)
    lacking = [{m[0] for m in marks if m[1] == role} for role in plan if (GOOD, role) not in [m[:2] for m in marks]]
    if any(m[0] == BROKEN for m in marks) or any(FALLEN in left for left in lacking):
        return 1
    if opened["rules"] != "2" or any(UNJUDGED in left for left in lacking):
        return 3
    return 2 if torn or lacking or any(m[0] == GOOD and m[3]["decision"] == "rejected" for m in marks) else 0

def read_roster(path, root):  # the text of a roster that its office signed; nothing for any other
    data, armour = Path(path).read_bytes(), Path(f"{path}.sig").read_text()
    try:
        return data.decode() if sshsig(armour, "ferrule-roster@v1", data)[1] == root else ""
    except (Stop, ValueError):
        return ""

if __name__ == "__main__":
    sys.exit(judge(Path(sys.argv[1]).read_bytes(), read_roster(*sys.argv[2:]) if sys.argv[2:] else ""))
