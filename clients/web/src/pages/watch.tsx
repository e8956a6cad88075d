// The first page for spectators: the boards of all mats, the hall screen and the results. Nothing here scores.
import "../style/tokens.css";
import "../style/index.css";
import { Role } from "../gen/honbu/v1/hub_pb";
import { Banners, listen, lineWords, mount } from "../ui/screen";

const link = listen(Role.HALL, { allMats: true });

function Page() {
    const title = link.welcome.value?.title ?? "";
    const mats = link.welcome.value?.mats ?? [];
    document.title = ["Honbu", title].filter(Boolean).join(" – ");
    return (
        <>
            <Banners link={link} />
            <header class="index-top"><p>Honbu</p><h1>{title || "Live from every mat"}</h1></header>
            <main>
                <section aria-labelledby="hall" class="pair">
                    <h2 id="hall">To watch</h2>
                    <a class="wide" href="/hall.html"><b>All mats</b><span>Side by side: bout, clock, scores and who fights next.</span></a>
                    <a class="wide" href="/v1/results.csv"><b>Results</b><span>So far, as a table for a spreadsheet.</span></a>
                </section>
                <section aria-labelledby="mats">
                    <h2 id="mats">One mat</h2>
                    <ul class="mats">
                        {mats.map((mat) => (
                            <li key={mat} data-testid={`mat-${mat}`}>
                                <h3>Mat {mat}</h3>
                                <p>{lineWords(link.mats.value.get(mat)?.view)}</p>
                                <a class="main" href={`/board.html?mat=${mat}`}>Board</a>
                            </li>
                        ))}
                    </ul>
                    {mats.length === 0 && <p>The mats appear here as soon as the hub answers.</p>}
                </section>
                <p class="caution">What counts is what the referee says. Do not judge from a screen whether a bout is over, or
                    whether somebody is hurt.</p>
            </main>
        </>
    );
}

mount(<Page />);
