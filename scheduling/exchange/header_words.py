"""The words by which sheets of many lands head their columns, as data: what each kind of column is called."""

from __future__ import annotations

from scheduling.exchange.meanings import Meaning

# Whole words unless starred: "geburt*" is the start of a word, "*datum" the end of one, "$" ends the header.
# Headers are folded first (no accents, no case, no punctuation). The order decides: the first line that fits gives
# the meaning, so what is special stands before what is general ("number of guests" before "guests").
HEADER_WORDS: tuple[tuple[Meaning, str], ...] = (
    (
        Meaning.HEALTH,
        """
        etelallergi* | kulonleges igeny* | zvlastni potreby | nevoi speciale | posebne potrebe |
        allerg* | *allergie* | *allergien | *vertraglich* | access needs | access need | access requirement* |
        accessib* | dietary | diet | diat | medical* | health* | disabilit* | special needs | impairment* |
        gesundheit* | einschrankung* | barrierefrei* | ernahrung* | besondere bedurfnisse | sante |
        regime alimentaire | handicap* | besoins particuliers | salud | alergi* | necesidades especiales |
        dieta | salute | intolleran* | intoleran* | esigenze | saude | restricoes | gezondheid* | dieet* |
        halsa | helse* | sundhed* | zdrow* | zdrav* | terveys* | erityisruokavalio | *アレルギー* | *过敏* | *健康* |
        здоров* | аллерги* | pregnan* | epilep*
        """,
    ),
    (
        Meaning.BIRTHDAY,
        """
        szul | data nasterii | datum roden* | datum rođen* | datum rojstva | rojen* | γεννηση* |
        birth* | dob | d o b | geburt* | geb | geboren* | date de naissance | naissance | nacimiento | nascita |
        nascimento | geboorte* | fodelse* | fødsels* | fodsels* | fødsel* | syntyma* | urodzen* | narozen* |
        szuletes* | рожд* | *生年月日* | *出生* | *생년월일* | dogum*
        """,
    ),
    (
        Meaning.CONSENT,
        """
        hozzajarul* | hirlevel* | consimtam* | suglasnost* | onay* | soglas* | συγκαταθεση |
        nyhetsbrev* |
        consent* | newsletter* | photo permission | photo release | photos ok | photo ok | marketing | opt in |
        gdpr | dsgvo | rgpd | einwillig* | *einwilligung | zustimm* | einverstand* | datenschutz* |
        fotoerlaubnis | consentement | droit a l image | consentimiento | consenso | consentimento |
        toestemming | samtyck* | samtykke* | zgod* | souhlas* | suostumus* | mailing list | terms | agb |
        may we * | *同意* | соглас*
        """,
    ),
    (
        Meaning.UNUSED,
        """
        payment method* | payment type* | method of payment | paid by | paid with | booked by |
        zahlungsart* | zahlungsmethode* | zahlungsweise | mode de paiement | moyen de paiement |
        forma de pago | metodo de pago | metodo di pagamento | modalita di pagamento | forma de
        pagamento | betaalwijze | betaalmethode | fizetes modja | fizetesi mod* | sposob platnosci |
        sposob płatnosci | zpusob platby | betalningssatt | betalingsmate | maksutapa | mod de plata
        | nacin placanja |
        ticket type* | type of ticket | ticket class |
        first time* | emergency* | notfall* | urgence | emergencia | emergenza | noodgeval
        """,
    ),
    (
        Meaning.GUARDIAN,
        """
        szulo* | gondvisel* | torvenyes kepviselo* | zakonny zastupce | rodic* | parinte* |
        roditelj* | starsi | foresatt* | foraldrar* | foralder* | foreldre* | padre* | madre | pere
        ou mere | mere ou pere | veli | veli ad* | rodzic* | κηδεμονας |
        parent* | guardian* | eltern* | erziehungsberecht* | sorgeberecht* | tutor | tuteur |
        representant legal | responsable legal | genitore | ouder* | voogd | vardnadshavare | opiekun* |
        huoltaja
        """,
    ),
    (
        Meaning.SIGNED_AT,
        """
        jelentkezes datuma | jelentkezes ideje | jelentkezett | idobelyeg | foglalas datuma |
        rendeles datuma | fizetes datuma | data zgloszenia | data zgłoszenia | data zapisu | data
        rejestracji | data zamowienia | data platnosci | data płatnosci | data wplaty | data wpłaty
        | datum prihlasen* | datum prihlask* | datum rezervace | datum objednavky | datum platby |
        casova znacka | data inscrierii | data inregistrarii | data platii | data rezervarii | datum
        prijave | vrijeme prijave | datum uplate | sygnatura czasowa | anmalan datum | bokningsdatum
        | betalningsdatum | varauspaiva | tilauspaiva | maksupaiva | data prenotazione | data ordine
        | data del pedido | fecha del pedido | fecha de pedido | fecha de alta | kayit tarihi |
        orderdatum | besteldatum | betaaldatum | dato for tilmelding | betalingsdato | date de l
        inscription | date de la commande | date of registration | date of sign up | date of signup
        | date of purchase | date registered | registration time | entry date | reservation date |
        date reserved |
        timestamp | time stamp | zeitstempel | horodat* | marca temporal | informazioni cronologiche |
        carimbo de* | submitted* | submission* | sign up date | sign up time | signup date | signed up* |
        registered | registered at | registered on | registration date | booked on | booked at | date booked |
        booking date | date of booking | order date | date of order | purchase date | purchased* |
        anmeldedatum | anmeldung am | angemeldet am | datum der anmeldung | bestelldatum | buchungsdatum |
        gebucht am | date d inscription | date de commande | date de reservation | fecha de inscripcion |
        fecha de compra | fecha de reserva | data iscrizione | data di iscrizione | data de inscricao |
        inschrijfdatum | datum inschrijving | created* | date created | erstellt* | last updated |
        last modified | modified | updated | payment date | date of payment | paid on | paid at | date paid |
        bezahlt am | zahlungsdatum | date de paiement | fecha de pago | data pagamento | anmalningsdatum |
        tilmeldingsdato | paameldingsdato | påmeldingsdato | ilmoittautumispaiva
        """,
    ),
    (
        Meaning.EMAIL,
        """
        e pasta | elektronicka posta | elektronska posta | adresse electronique | ηλ ταχυδρομειο |
        *villanypost* | drotposta |
        *البريد* |
        e mail* | email* | mail | mails | *mailadresse | mailadres* | mail address | correo* | courriel* |
        e post* | epost* | posta elettronica | sahkopost* | sposti | adresse mail | *メール* | *邮箱* | *邮件* |
        *郵箱* |
        *이메일* | почта | эл почта | имейл | eposta | poczta*
        """,
    ),
    (
        Meaning.PHONE,
        """
        matkapuhelin* | gsm numarasi | cep tel* | numer tel* |
        *טלפון* | *الهاتف* |
        τηλεφωνο | κινητο |
        phone* | *phone | tel | telephone* | telefon* | *telefon | *telefonnummer | telef* | telephon* |
        mobil* | cell | cellphone | cellular | handy* | *handynummer | portable | movil* | celular | cellulare |
        telemovel | gsm | puh | puhelin* | numero de tel* | whatsapp | contact number | rufnummer | sms | *電話* |
        *电话* | *手机* | *전화* | *휴대폰* | тел | телефон* | komorka | komórka
        """,
    ),
    (
        Meaning.POSTCODE,
        """
        iranyitoszam* | irsz | cod postal | postanski broj | posta kodu | smerovacie cislo | τκ |
        postcode | post code | postal code | zip* | plz | postleitzahl | code postal | codigo postal | cap |
        postnummer | postnr | postinumero | kod pocztowy | psc | индекс | *郵便番号* | *邮编*
        """,
    ),
    (
        Meaning.CITY,
        """
        varos | telepules | oras | grad | mjesto stanovanja | plaats | sehir | lakohely | πολη |
        city | town | stadt | ort | wohnort | ville | ciudad | poblacion | citta | cidade | woonplaats | stad |
        miasto | mesto | kaupunki | город | *城市*
        """,
    ),
    (
        Meaning.COUNTRY,
        """
        country | land | pays | pais | paese | kraj | zeme | maa | страна | *国家*
        """,
    ),
    (
        Meaning.STREET,
        """
        street* | strasse | straße | *strasse | rue | calle | via | rua | straat | gata | gade | ulica |
        address line* | address 1 | address 2
        """,
    ),
    (
        Meaning.HEADS,
        """
        fo | hany fo | hanyan | helyek szama | fok szama | resztvevok szama | ile osob | osob
        | numar persoane | nr persoane | persoane | koliko osoba | henkilomaara | henkiloa | numero
        persone | persone | anz | anzahl pers* | nb | how many of you |
        letszam | locuri | numar de * | kisi sayisi | kisi | broj * | stevilo * | *מקומות* | *عدد* |
        θεσεις | ατομα |
        seat | seats | places | spots | platze | *platze | platz* | *platzanzahl | plazas | plaza | posti |
        lugares | vagas | plaatsen | platser | pladser | plasser | paikat | paikkoja | miejsc* | mist* |
        quantity | qty | tickets | how many | headcount | head count | heads | party size | group size |
        number of * | no of * | num of * | nr of * | anzahl* | *anzahl | menge | personen |
        personenzahl | *teilnehmerzahl | kopfe | tetes | cabezas | teste |
        nombre de places | nombre de personnes | nombre de participants |
        nb * | effectif | cantidad | numero de plazas | numero de personas | numero de asistentes | num * |
        no de * | n de * | personas | quantita | numero di * | numero posti | numero partecipanti | quantidade |
        numero de * | aantal* | antal* | antall* | maara | lukumaara | ilosc* | liczba* | pocet* | количество* |
        кол во* | мест* | *人数* | *数量* | *席* | *인원* | pax | people | persons | adults
        """,
    ),
    (
        Meaning.GUESTS,
        """
        kiserok | kisero* | osoby towarzyszace | osoba towarzyszaca | doprovod | insotitor* |
        pratnja | pratitelj* | medfoljande | ledsager* |
        guest* | companion* | additional people | additional names | additional participants |
        additional attendees | other attendees | other participants | other names | plus one | bringing |
        begleit* | gaste | gast | mitkommende | weitere personen | weitere teilnehmer* | accompagn* | invites |
        invite | acompan* | invitad* | ospiti | ospite | acompanh* | convidad* | gasten | introduce* | gaster |
        gjester | gæster | goscie | hoste | vieraat | гости | *同伴* | *お連れ*
        """,
    ),
    (
        Meaning.PAID,
        """
        fizetve | befizet* | fizetett* | kifizet* | zapłac* | wplata | wpłata | wplacono | wpłacono
        | uhrazen* | platit | achitat* | placeno | plaćeno | uplaceno | uplata | odendi | odenen* |
        odeme | πληρωμεν* | πληρωθηκε | betald |
        paid* | amount paid | payment* | payed | bezahlt* | *bezahlt | gezahlt* | zahlung* | zahlstatus |
        paye* | regle | paiement* | pagad* | pago | pagos | pagat* | pagament* | pagou | betaald* | betaling* |
        betalt* | betalat* | betalning* | maksettu | maksu | zaplac* | oplac* | zaplaceno | platba | оплач* |
        оплата | *支払* | *已付* | *付款* | *결제*
        """,
    ),
    (
        Meaning.PRICE,
        """
        ar | dij | *dij | reszveteli dij | osszeg | pret | cijena | iznos | ucret* | tutar | τιμη |
        ποσο | deltagaravgift | kurssimaksu |
        amount* | price* | fee* | cost* | total* | sum | betrag* | *betrag | preis* | *preis | gebuhr* |
        *gebuhr | kosten | summe | montant* | prix | tarif* | importe | precio | cuota | importo | prezzo |
        quota | valor | preco | bedrag | prijs | belop* | beløb* | beløp* | pris | hinta | kwota | cena |
        castka | сумма | цена | *金額* | *金额* | *料金* | *가격*
        """,
    ),
    (
        Meaning.STATE,
        """
        statusz | stanje | κατασταση | stand |
        durum | stare | allapot |
        status* | *status | state | estado | stato | statut | etat | situacao | stav | tila | tilanne | статус |
        *状態* | *状态* | *ステータス* | *상태* | attended* | attendance | present | anwesen* | teilgenommen |
        erschienen |
        presence | asistencia | asistio | presenza | aanwezig* | narvarande | cancelled | canceled |
        cancelled* | storniert | abgesagt | annule* | cancelado | annullato | waitlist* | waiting list |
        wait list | warteliste | liste d attente | lista de espera | lista d attesa | wachtlijst | venteliste |
        vantelista | no show | confirmed
        """,
    ),
    (
        Meaning.UNUSED,
        """
        teacher* | instructor* | tutor* | kursleit* | dozent* | formateur | docente | profesor* | company* |
        organi*ation* | firma | employer | school | schule | anrede | salutation | civilite | gender |
        geschlecht | sexe | sexo | nickname | user name | username | website | url | venue | location |
        currency | wahrung | age | alter | ip address | lfd nr | lfd
        """,
    ),
    (
        Meaning.PERSON_ID,
        """
        member no | member number | member id | membership* | customer no | customer number | customer id |
        client id | person id | person number | person no | contact id | attendee id | attendee number | attendee no |
        participant id | participant number | participant no | kundennummer | kunden nr |
        kundennr | kunden id | mitgliedsnummer | mitglieds nr | teilnehmernummer | numero client |
        numero de cliente | klantnummer | kundnummer
        """,
    ),
    (
        Meaning.ORDER_ID,
        """
        rendelesszam | rendeles szama | numer zamowienia | nr zamowienia | cislo objednavky | numar
        comanda | nr comanda | broj narudzbe | siparis no* |
        order | order no | order number | order id | order ref* | order #* | invoice* | receipt* |
        transaction* | bestellnummer | bestell nr | bestellnr | bestellung | rechnung* | commande |
        numero de commande | n de commande | pedido | numero de pedido | ordine | numero ordine | bestelnummer |
        ordernummer | ordrenummer | zamowienie | tilausnumero
        """,
    ),
    (
        Meaning.ROW_ID,
        """
        foglalasi szam | foglalas szama | jelentkezes szama | numer rezerwacji | nr rezerwacji |
        numer zgloszenia | cislo rezervace | cislo prihlasky | numar rezervare | broj rezervacije |
        broj prijave | rezervasyon no* |
        id | entry id | row id | record id | response id | submission id | booking id | booking no |
        booking number | booking ref* | booking code | sign up id | signup id | registration id |
        registration no | registration number | reservation* | reference | ref | ref no | confirmation no |
        confirmation number | confirmation code | ticket | ticket id | ticket no | ticket number | uid | uuid |
        guid | buchungsnummer | buchungs nr | buchungsnr | buchungs id | anmeldenummer | anmelde nr |
        numero de reservation | numero d inscription | numero de reserva | localizador | numero prenotazione |
        reserveringsnummer | bokningsnummer | bookingnummer | varausnumero
        """,
    ),
    (
        Meaning.FIRST,
        """
        prenume | keresztnev | utonev | ime$ |
        first name* | firstname | forename* | given name* | vorname* | *vorname | prenom* | nombre de pila |
        nome proprio | primeiro nome | voornaam | fornavn | fornamn | etunimi | imie | krestni* | ad | *名$ |
        이름$ | christian name*
        """,
    ),
    (
        Meaning.LAST,
        """
        priezvisko | επιθετο |
        vezeteknev | csaladnev | prezime | priimek | *שם משפחה* |
        επωνυμο |
        last name* | lastname | surname* | family name* | nachname* | *nachname | familienname* | zuname |
        nom de famille | apellido* | cognome | sobrenome | apelido* | ultimo nome | achternaam | familienaam |
        etternavn | efternavn | efternamn | sukunimi | nazwisko | prijmeni | фамилия | soyad* | *姓$
        """,
    ),
    (
        Meaning.DATE,
        """
        idopont* | *datuma | * datum | nap | den konani | dan | date of class | date of the class |
        date of workshop | date of the workshop | date of course | date of event | date of session |
        *תאריך* | *التاريخ* |
        ημερομηνια |
        date | dates | datum | *datum | day | tag | wann | when | fecha* | data | dato | pvm | paivamaara |
        paiva | termin* | *termin | дата | дата* | *日付* | *日期* | *日にち* | *開催日* | *날짜* | tarih* |
        date time |
        kursdatum | jour | giorno | dia
        """,
    ),
    (
        Meaning.TIME,
        """
        kezdes* | ido | idopontja | vrijeme | pocetak | zacatek | zaciatok | inceput | ωρα |
        baslangic |
        time | times | start time | starts | start | begin | beginn | uhrzeit | zeit | heure* | hora* | ora |
        orario | tijd* | tid | tidspunkt | kello* | klo | godzina* | cas | время | *時間* | *时间* | *시간* | saat
        """,
    ),
    (
        Meaning.CLASS,
        """
        tanfolyam* | foglalkozas* | muhely* | *muhely | kurzus* | dilna | dilny | verkstad* |
        tyopaja* | verksted* | vaerksted* | værksted* |
        tanfolyam | atolye | curs | radionica | delavnica | tecaj | *סדנה* | *ورشة* |
        μαθημα | εργαστηριο |
        class | classes | class * | * class | course* | workshop* | *workshop | event* | session* | kurs* |
        *kurs | veranstaltung* | seminar* | lehrgang | atelier* | cours | stage | clase* | curso* | taller* |
        evento* | sesion | corso* | laboratorio | oficina* | aula | cursus* | kurssi* | zajecia | warsztat* |
        kurz* | lekce | занятие | курс* | мастер класс | *講座* | *クラス* | *教室* | *课程* | *課程* | *수업* |
        *강좌* |
        product* | produkt* | activity | activite | actividad | lesson*
        """,
    ),
    (
        Meaning.NOTE,
        """
        megjegyzes* | napomen* | opomba | opombe | anteckning* | merknad* | bemaerkning* |
        bemærkning* | bemærk* | notlar | observatii | σχολια | παρατηρησεις | uzenet |
        note | notes | comment* | remark* | message | messages | anmerk* | bemerk* | kommentar* | hinweis* |
        nachricht | notiz* | remarque* | commentaire* | observa* | nota | notas | osserv* | opmerk* | huomaut* |
        uwagi | poznam* | примеч* | комментар* | *備考* | *备注* | *備註* | *비고* | anything else | question* |
        fragen
        """,
    ),
    (
        Meaning.ADDRESS,
        """
        cim | lakcim* | *cime | adresa | διευθυνση | naslov | prebivaliste |
        address* | adress* | adresse* | *anschrift | anschrift | direccion | domicilio | indirizzo | endereco |
        morada | adres | osoite | адрес | *住所* | *地址* | *주소*
        """,
    ),
    (
        Meaning.FIRST,
        """
        first$ | * first$
        """,
    ),
    (
        Meaning.LAST,
        """
        last$ | * last$
        """,
    ),
    (
        Meaning.NAME,
        """
        nev* | *neve | meno | meno a priezvisko | nume si prenume | kto | wer | kursist* |
        resztvevo* |
        nume | ime i prezime | ime in priimek | *שם* | *الاسم* |
        ονομα | ονοματεπωνυμο |
        name | names | full name | fullname | *name | participant* | attendee* | student* | customer* |
        client* | person | teilnehmer* | teilnehmend* | kunde* | kundin | nom | nombre* | nome* | naam | navn |
        namn | nimi | imie i nazwisko | jmeno* | jméno | имя | фио | *氏名* | *名前* | *姓名* | *성명* | isim |
        adi soyadi | ad soyad | nev | who | buyer | besteller | cliente | alumn* | partecipante | deelnemer* |
        deltager* | deltagare | osallistuja* | uczestnik* | ucastnik* | участник*
        """,
    ),
    (
        Meaning.CLASS,
        """
        title | titel | titre | titulo | titolo | item | artikel | subject
        """,
    ),
)
