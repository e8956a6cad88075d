// board.html?mat=1&swap=1&screen=120&let-in=1: one mat, for athletes, coaches, referees and the stands.
import "../style/tokens.css";
import "../style/board.css";
import "../style/door.css";
import { rehearsalWords } from "../clock";
import { Role, TableLine } from "../gen/honbu/v1/hub_pb";
import { whoIsThis } from "../store";
import { AtTheDoor } from "../ui/at_door";
import { Board } from "../ui/board";
import { useDistance } from "../ui/distance";
import { asked, isAsked, listen, mount, staleWords } from "../ui/screen";

const mat = asked("mat") || 1;
const swap = isAsked("swap");
const link = listen(Role.BOARD, { mats: [mat] }, isAsked("let-in") ? { who: await whoIsThis() } : {});

function Page() {
    const heard = link.mats.value.get(mat);
    const distance = useDistance(asked("screen"));
    const title = link.welcome.value?.title ?? "";
    document.title = ["Mat " + mat, "board", title].filter(Boolean).join(" – ");
    if (link.door.value) return <AtTheDoor link={link} as="a screen of the hall" />;
    const alone = heard?.view.table === TableLine.ALONE && link.isFresh(mat);
    const stale = staleWords(link, mat)
        || (alone ? "Not live: table out of reach. This picture is old." : "");
    return <Board mat={mat} view={heard?.view} now={() => link.now(mat)} swap={swap} title={title}
        rehearsal={rehearsalWords.value} stale={link.trouble.value || stale} distance={distance} />;
}

mount(<Page />);
