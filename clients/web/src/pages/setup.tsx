// setup.html: for whoever sets the hall up. Lets tables and screens in, and shows how each table stands.
import "../style/tokens.css";
import "../style/desk.css";
import "../style/door.css";
import "../style/setup.css";
import { Role, type Tables_OfMat } from "../gen/honbu/v1/hub_pb";
import { Requests } from "../requests";
import { whoIsThis } from "../store";
import { AtTheDoor } from "../ui/at_door";
import { Devices } from "../ui/devices";
import { Banners, lineWords, listen, mount } from "../ui/screen";

const who = await whoIsThis();
const requests: Requests = new Requests(() => link);
const link = listen(Role.SET_UP, { allMats: true, tables: true, door: true }, {
    who, hear: (message) => requests.hear(message), down: () => requests.lineDown(),
});

function Page() {
    const title = link.welcome.value?.title ?? "";
    document.title = ["Set-up", title].filter(Boolean).join(" – ");
    if (link.door.value) return <><Banners link={link} /><AtTheDoor link={link} as="the set-up" /></>;
    return (
        <>
            <Banners link={link} />
            <header class="desk-top"><h1>Set-up</h1><p>{title}</p></header>
            <main class="setup">
                <Devices link={link} requests={requests} me={who.device} />
                <section aria-labelledby="tables">
                    <h2 id="tables">Tables</h2>
                    <div class="setup-scroll" tabIndex={0} role="region" aria-labelledby="tables"><table>
                        <thead><tr><th scope="col">Mat</th><th scope="col">Line</th><th scope="col">Who</th><th scope="col">There and back</th></tr></thead>
                        <tbody>{link.tables.value?.mats.map((mat) => <Row key={mat.mat} mat={mat} />)}</tbody>
                    </table></div>
                </section>
            </main>
        </>
    );
}

function Row({ mat }: { mat: Tables_OfMat }) {
    return (
        <tr data-testid={`table-${mat.mat}`}>
            <th scope="row">{mat.mat}</th>
            <td>{lineWords(link.mats.value.get(mat.mat)?.view)}</td>
            <td>{mat.hand || (mat.device ? mat.device.slice(0, 4) : "nobody")}</td>
            <td>{mat.measured ? `${mat.roundTripMs} ms` : "not measured"}</td>
        </tr>
    );
}

mount(<Page />);
