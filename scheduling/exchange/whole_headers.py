"""Whole headers that mean something else than the words in them (header_words.py), as data."""

from __future__ import annotations

from scheduling.exchange.meanings import Meaning

WHOLE_HEADERS: tuple[tuple[Meaning, str], ...] = (
    (
        Meaning.NAME,
        """
        last, first | first, last | surname, first name | surname, forename | last name, first name | ime i prezime |
        姓名 | 氏名 | お名前 | 名前 | 成员 | 이름 | 성함 | ad soyad | imię i nazwisko | jméno a příjmení |
        nom et prénom |
        nom prénom | nombre y apellidos | nombre y apellido | nome e cognome | nome completo | nome cognome |
        vor- und nachname | vorname und nachname | vorname, nachname | nachname, vorname | name, vorname |
        vorname nachname | first and last name | first name last name | first & last name |
        last name, first name | voor- en achternaam | för- och efternamn | nombre completo | имя и фамилия |
        фамилия и имя | фамилия имя | attendee name | your name | ihr name
        """,
    ),
    (
        Meaning.NAME,
        """
        nume și prenume | nume şi prenume | prenume și nume | adı soyadı | adi soyadi | kursist | kursistin |
        resztvevo neve | gyermek neve | a resztvevo neve | vezetéknév és keresztnév | nazwisko i imię
        """,
    ),
    (
        Meaning.GUARDIAN,
        """
        szülő neve | rodzic | jméno rodiče | meno rodiča | velinin adı
        """,
    ),
    (
        Meaning.FIRST,
        """
        名 | имя участника
        """,
    ),
    (
        Meaning.HEADS,
        """
        # of seats | # of tickets | # of people | # of persons | # of heads | # of spots | # of places |
        # of participants | # of attendees | # of guests
        """,
    ),
    (
        Meaning.ORDER_ID,
        """
        número de pedido | numéro de commande | numero de commande | n° de commande | nº de pedido | numero di ordine |
        numero dell'ordine | número da encomenda | numéro de facture | número de factura | numero di fattura |
        number of order | numer zamówienia
        """,
    ),
    (
        Meaning.ROW_ID,
        """
        número de reserva | numéro de réservation | n° de réservation | numero di prenotazione | nº de reserva |
        numéro d'inscription | número de inscripción | numero di iscrizione | número de inscrição | numéro de billet |
        número de entrada | numero del biglietto
        """,
    ),
    (
        Meaning.PERSON_ID,
        """
        numéro de client | número de cliente | numero di cliente | número de socio | numéro de membre |
        numéro d'adhérent
        """,
    ),
    (
        Meaning.CITY,
        """
        by
        """,
    ),
    (
        Meaning.LAST,
        """
        姓
        """,
    ),
    (
        Meaning.UNUSED,
        """
        no | nr | number | nummer | numero | n | first time | first time here
        """,
    ),
    (
        Meaning.CITY,
        """
        ort
        """,
    ),
    (
        Meaning.PAID,
        """
        amount paid | total paid | betrag bezahlt | bezahlter betrag | montant payé | montant réglé |
        importe pagado | importo pagato | valor pago | betaald bedrag
        """,
    ),
    (
        Meaning.PRICE,
        """
        payment due | amount due | to pay | zu zahlen | offen | balance
        """,
    ),
    (
        Meaning.EMAIL,
        """
        e-mail
        """,
    ),
)
