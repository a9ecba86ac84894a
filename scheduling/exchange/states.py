"""The words by which sheets say how a sign-up stands, in several languages, and which state each suggests."""

from __future__ import annotations

from functools import lru_cache

from scheduling.exchange.rows import ATTENDED, CANCELLED, CONFIRMED, NO_SHOW, WAITLIST, Value
from scheduling.exchange.text import fold, says_nothing, words_of

_WORDS = {
    CANCELLED: """
        cancelled | canceled | cancel | cancellation | cancelled by customer | expired | lapsed | verfallen |
        refunded |
        refund | refunded in full |
        fully refunded | withdrawn | withdrew | dropped out | dropped | declined | rejected |
        void | deleted | not coming | not attending | storniert | storno | stornierung | abgesagt | absage |
        abgemeldet | rücktritt | zurückgetreten | erstattet | rückerstattet | abgelehnt | annulé | annulée |
        annulation | remboursé | remboursée | désisté | refusé | cancelado | cancelada | anulado | anulada |
        reembolsado | reembolsada | devuelto | annullato | annullata | cancellato | cancellata | disdetto |
        disdetta | rimborsato | rimborsata | devolvido | geannuleerd | afgemeld | afgezegd | terugbetaald |
        geweigerd | avbokad | avbokat | inställd | återbetald | avbestilt | avlyst | kansellert | refundert |
        aflyst | afbestilt | annulleret | refunderet | peruttu | peruutettu | peruutus | hyvitetty | anulowane |
        anulowany | odwołane | odwołany | zwrócone | rezygnacja | zrušeno | zrušená | vráceno | lemondva |
        отменено | отменен | отмена | отказ | возврат | отменена | キャンセル | 取消 | 取消済み | 返金済み |
        已取消 | 已退款 | 취소 |
        취소됨 | 환불 | iptal
    """,
    WAITLIST: """
        waitlist | waitlisted | wait list | wait listed | waiting list | waiting | on waitlist |
        on waiting list | on the waiting list | standby | reserve list | warteliste | auf warteliste |
        auf der warteliste | wartet | nachrücker | liste d attente | sur liste d attente | en attente de place |
        lista de espera | en lista de espera | en espera | lista d attesa | in lista d attesa | fila de espera |
        wachtlijst | op de wachtlijst | väntelista | reservplats | venteliste | på venteliste | jonossa |
        varasija | jonotuslista | lista rezerwowa | lista oczekujących | čekací listina | náhradník |
        várólista | лист ожидания | в листе ожидания | ожидание | キャンセル待ち | 候補 | 候补 | 等候名单 |
        대기 | 대기자 |
        bekleme listesi
    """,
    NO_SHOW: """
        no show | noshow | no shows | did not attend | didn t attend | not attended | did not show |
        did not come | absent | missed | nicht erschienen | nicht gekommen | nicht teilgenommen | nicht da |
        fehlte | gefehlt | unentschuldigt | abwesend | absente | non présent | non venu | pas venu |
        no asistió | no se presentó | ausente | no presentado | no vino | assente | non presentato |
        non presente | não compareceu | faltou | niet verschenen | niet gekomen | afwezig | uteblev |
        uteblivet | frånvarande | ikke møtt | møtte ikke | ikke mødt | udeblevet | ei saapunut | poissa |
        nieobecny | nieobecna | nie przyszedł | nepřišel | nepřišla | nedostavil se | не пришел | не пришла |
        неявка | отсутствовал | отсутствовала | 欠席 | 无故缺席 | 未出席 | 缺席 | 불참 | gelmedi
    """,
    ATTENDED: """
        attended | attending complete | present | was there | showed up | checked in | completed | complete |
        came | done | teilgenommen | anwesend | erschienen | da gewesen | eingecheckt | présent | présente |
        venu | venue | a participé | asistió | presente | vino | asistido | ha partecipato | partecipato |
        compareceu | aanwezig | verschenen | geweest | närvarande | deltog | deltok | møtt | mødt | paikalla |
        osallistui | saapui | obecny | obecna | zúčastnil se | přítomen | přišel | посетил | посетила |
        присутствовал | присутствовала | пришел | пришла | 出席 | 已出席 | 已参加 | 참석 | katıldı
    """,
    CONFIRMED: """
        attending | will attend | coming |
        confirmed | confirm | ok | okay | yes | y | booked | registered | active | accepted | approved | going |
        paid | paid in full | fully paid | enrolled | signed up | reserved | valid | sold | new | deposit paid |
        x | ✓ | ✔ | ☑ | √ | ● | true | 1 | bestätigt | ja | gebucht | angemeldet | bezahlt | zugesagt | zusage | fix |
        aktiv | teilnahme bestätigt | reserviert | gezahlt | confirmé | confirmée | oui | inscrit | inscrite |
        payé | payée | réservé | validé | validée | accepté | confirmado | confirmada | sí | si | inscrito |
        inscrita | pagado | pagada | reservado | reservada | aceptado | confermato | confermata | iscritto |
        iscritta | pagato | prenotato | sim | pago | bevestigd | geboekt | betaald | aangemeld | ingeschreven |
        bekräftad | bokad | betald | anmäld | bekreftet | påmeldt | betalt | booket | bekræftet | tilmeldt |
        vahvistettu | ilmoittautunut | maksettu | potwierdzone | potwierdzony | potwierdzona | zapłacone |
        opłacone | tak | potvrzeno | potvrzená | zaplaceno | ano | visszaigazolt | подтверждено | подтвержден |
        подтверждена | оплачено | оплачен | да | записан | записана | 確定 | 予約済み | 参加 | 支払済み |
        已确认 | 已付款 | 已报名 |
        확정 | 확인 | onaylandı | evet
    """,
}
_STATE_OF = {fold(word) or word: state for state, words in _WORDS.items() for word in words_of(words)}
_NOT_WORDS = """
    not | nicht | no | non | ne | pas | kein | keine | niet | inte | ikke | ei | nie | не | un | noch | still |
    maybe |
    perhaps | vielleicht | partly | partially
"""
_NOT = frozenset(words_of(_NOT_WORDS))
_YES = frozenset(
    words_of("yes|y|ja|j|oui|o|si|sim|s|tak|ano|да|true|wahr|vrai|1|x|ok|okay|evet|given|erteilt|はい|是|예")
)
_NO = frozenset(words_of("no|n|nein|non|nao|nej|nee|nie|ne|нет|false|falsch|faux|0"))
_MARKS = frozenset("✓✔☑√●")


@lru_cache(maxsize=4096)
def known_state(word: str) -> str:
    """The state that a status cell speaks of when the whole cell is a known word; empty otherwise."""
    return _STATE_OF.get(fold(word) or word.strip(), "")


@lru_cache(maxsize=4096)
def likely_state(word: str) -> str:
    """A state whose longest word stands inside the cell ("cancelled on 3 May"); empty when none or with a "not"."""
    folded = fold(word)
    tokens = folded.split()
    if not tokens or _NOT.intersection(tokens):
        return ""
    for size in range(min(4, len(tokens)), 0, -1):
        for start in range(len(tokens) - size + 1):
            phrase = " ".join(tokens[start : start + size])
            state = _STATE_OF.get(phrase, "")
            if state and (len(phrase) > 3 or not phrase.isascii()):
                return state
    return ""


def state_of_header(header: str) -> str:
    """The state that a yes/no column's own header names ("Cancelled?", "No-show"), or empty."""
    return known_state(header) or likely_state(header)


def says_no(word: str) -> bool:
    """True for a clear no, and for words that say nothing."""
    return fold(word) in _NO or says_nothing(word)


def says_yes(value: Value) -> bool:
    """True only for a clear yes; empty and unknown words are no."""
    text = str(value).strip()
    return text in _MARKS or fold(text) in _YES
