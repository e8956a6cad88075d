// The first page: what each page is for, and a way to it for each mat.
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
            <header class="index-top"><p>Honbu</p><h1>{title || "Live scoring for every mat"}</h1></header>
            <main>
                <section aria-labelledby="mats">
                    <h2 id="mats">At a mat</h2>
                    <p>The table records what the referee calls. The board shows it to athletes, coaches and stands; add the
                        screens you like, on both sides of the mat.</p>
                    <ul class="mats">
                        {mats.map((mat) => (
                            <li key={mat} data-testid={`mat-${mat}`}>
                                <h3>Mat {mat}</h3>
                                <p>{lineWords(link.mats.value.get(mat)?.view)}</p>
                                <a class="main" href={`/table.html?mat=${mat}`}>Table</a>
                                <a href={`/board.html?mat=${mat}`}>Board</a>
                                <a href={`/board.html?mat=${mat}&swap=1`}>Board, sides swapped</a>
                            </li>
                        ))}
                    </ul>
                    {mats.length === 0 && <p>The mats appear here as soon as the hub answers.</p>}
                </section>
                <section aria-labelledby="hall" class="pair">
                    <h2 id="hall">For the whole hall</h2>
                    <a class="wide" href="/hall.html"><b>Hall</b><span>All mats side by side: bout, clock, scores and who fights next.</span></a>
                    <a class="wide" href="/desk.html"><b>Results desk</b><span>Each finished bout as it ends, and how every mat and its table stand.</span></a>
                    <a class="wide" href="/setup.html"><b>Set-up</b><span>Tables and screens are let in here, and each table's line is measured.</span></a>
                </section>
                <p class="caution">The referee decides; these pages record. Keep a manual clock and board at every mat, as the
                    rule books ask.</p>
            </main>
        </>
    );
}

mount(<Page />);
