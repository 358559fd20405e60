using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Export.Account;
using KitMesh.Export.Page;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Export;

/// <summary>Accounts of a hand-made day, and the page that shows them.</summary>
public sealed class AccountTests
{
    private static readonly Instant Morning = Instant.FromUtc(2027, 2, 9, 2, 0);
    private static readonly KitId Card = KitId.Parse("card <b>1</b>");
    private static readonly KitId Visit = KitId.Parse("visit 1");
    private readonly List<ContentReport> _reports = [];
    private readonly Dictionary<string, ReportMaker> _makers = [];
    private readonly Dictionary<string, ulong> _sequences = [];

    public AccountTests()
    {
        KitItem[] more =
        [
            new FootageSource(KitId.Parse("ridge film"), KitId.Parse("ridge team"), null, 100, 0.3, null),
            new WatchedAgent(NodeId.Parse("ridge-station"), KitId.Parse("ridge team"), Duration.FromHours(40)),
            new Card(Card, KitId.Parse("ridge film"), new ByteCount(64_000_000_000)),
            new Load(KitId.Parse("ridge station"), KitId.Parse("ridge team"), EnergyScene.BankId, LoadClass.Work, 3, new(40), 0.3, null, null, Chemistry.Unknown),
        ];
        foreach (KitItem item in EnergyScene.Kit.Concat(more))
        {
            Write("keeper", 0, new KitDeclared(item));
        }
    }

    [Fact]
    public void Offload_OneCard_TellsTimeBytesAndTheStationsEnergy()
    {
        OffloadRun run = Whole(WriteOffload).Offloads.Single();

        // 07:00 to 07:30; two clips of 3 and 1 GB on two drives; the station's counter rises 12 Wh an hour: 6 Wh.
        Assert.Equal((2, 4), (run.Clips, run.Copies));
        Assert.Equal(8_000_000_000, run.Size.Value);
        Assert.Equal(Duration.FromMinutes(30), run.Took);
        Assert.Equal(6, run.Energy!.Value.Value, 1e-9);
    }

    [Fact]
    public void Footage_ClipSeenTwice_CountsOnce()
    {
        TripAccount account = Whole(() =>
        {
            WriteOffload();
            Write("ridge-station", 9, Clip(1, 3_000_000_000));
        });

        FootageSum sum = Assert.Single(account.Footage);
        Assert.Equal((2, 4_000_000_000L, "ridge film"), (sum.Clips, sum.Size.Value, sum.Source!.Value.Value));
        Assert.Equal(2, account.Safety.Sum(day => day.Clips));
    }

    [Fact]
    public void Alert_RaisedTwiceAndCleared_StoodFromTheFirstToTheClearing()
    {
        TripAccount account = Whole(() =>
        {
            Alert(1, true);
            Alert(3, true);
            Alert(6, false);
            Alert(10, true);
            Write("keeper", 12, new Note("the lead", null, "evening"));
        });

        Assert.Equal([Duration.FromHours(5), Duration.FromHours(2)], account.Alerts.Select(alert => alert.Stood));
        Assert.Null(account.Alerts[1].Until);
    }

    [Fact]
    public void Silence_LongerThanAllowed_IsToldWithItsEnds()
    {
        TripAccount account = Whole(() =>
        {
            WriteOffload();
            Write("ridge-station", 72.5, new Note("the lead", null, "back"));
        });

        StandingSpan silence = Assert.Single(account.Silences);
        Assert.Equal("ridge-station", silence.Subject);
        Assert.Equal(67, silence.Stood.TotalHours, 1e-6);
        Assert.Contains(account.Changes, change => change.Subject == "ridge-station" && change.Number.StartsWith("67 h", StringComparison.Ordinal));
    }

    [Fact]
    public void Team_Another_HasNothingOfThis()
    {
        TripAccount account = Account(WriteOffload, new AccountScope(new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 20), KitId.Parse("hide team")));

        Assert.Empty(account.Offloads);
        Assert.Empty(account.Footage);
        Assert.Empty(account.Energy.Banks);
        Assert.Empty(account.Silences);
    }

    [Fact]
    public void Page_AnyOrderOfArrival_IsTheSameByteForByte()
    {
        string page = AccountPage.Of(Whole(WriteOffload));
        _reports.Reverse();

        Assert.Equal(page, AccountPage.Of(Whole(() => { })));
    }

    [Fact]
    public void Page_HostileNames_AreEscapedAndNothingIsLoaded()
    {
        string page = AccountPage.Of(Whole(() =>
        {
            WriteOffload();
            Write("ridge-station", 6, new CopyFailed(null, null, "a", CopyFailure.CardUnreadable, "</td><script>alert(1)</script>\u202E \u0007 & \"'", Card));
        }));

        Assert.DoesNotContain("<script", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<b>", page, StringComparison.Ordinal);
        Assert.Contains("card &lt;b&gt;1&lt;/b&gt;", page, StringComparison.Ordinal);
        Assert.Contains("&lt;/td&gt;&lt;script&gt;alert(1)&lt;/script&gt;\uFFFD \uFFFD &amp; &quot;&#39;", page, StringComparison.Ordinal);
        Assert.DoesNotContain("http:", page, StringComparison.Ordinal);
        Assert.DoesNotContain("https:", page, StringComparison.Ordinal);
        Assert.DoesNotContain("src=", page, StringComparison.Ordinal);
        Assert.DoesNotContain("url(", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Page_WholeTrip_IsWellFormed()
    {
        string page = AccountPage.Of(Whole(WriteOffload));

        string body = page[page.IndexOf("<html", StringComparison.Ordinal)..];
        var document = System.Xml.Linq.XDocument.Parse(body);
        Assert.NotEmpty(document.Descendants("svg"));
        Assert.All(document.Descendants("tr"), row => Assert.Equal(row.Ancestors("table").First().Descendants("th").Count(), row.Elements().Count()));
    }

    private void WriteOffload()
    {
        KitId station = KitId.Parse("ridge station");
        for (int hour = 0; hour < 5; hour++)
        {
            Write("ridge-station", hour, new LoadReading(station, ChargeActivity.Unknown, null, null, new WattHours(100 + (12 * hour)), null));
        }

        Write("ridge-station", 5, new CardSeen(Card, Visit, null, new ByteCount(64_000_000_000), new ByteCount(4_000_000_000), 2));
        Write("ridge-station", 5, new LoadReading(station, ChargeActivity.Unknown, null, null, new WattHours(160), null));
        Write("ridge-station", 5.1, Clip(1, 3_000_000_000));
        Write("ridge-station", 5.2, Clip(2, 1_000_000_000));
        foreach (byte clip in new byte[] { 1, 2 })
        {
            foreach (string drive in new[] { "red", "blue" })
            {
                Write("ridge-station", 5.5, new CopyVerified(Hash(clip), KitId.Parse(drive), $"c{clip}", new ByteCount(clip == 1 ? 3_000_000_000 : 1_000_000_000), ReadBackLevel.Direct, Recheck: false));
            }
        }

        Write("base-station", 6, new LoadReading(station, ChargeActivity.Unknown, null, null, new WattHours(172), null));
    }

    private static ClipFound Clip(byte clip, long size) => new(Hash(clip), Card, Visit, $"c{clip}", new ByteCount(size), null, null, Duration.FromMinutes(10), null);

    private static ClipHash Hash(byte seed) => new(seed);

    private void Alert(double hour, bool raised) => Write("ridge-power", hour, new AlertChanged("cold-charge", EnergyScene.BankId, raised, "charged at -3 °C"));

    private void Write(string node, double hour, ReportBody body)
    {
        if (!_makers.TryGetValue(node, out ReportMaker? maker))
        {
            _makers[node] = maker = new ReportMaker(node);
        }

        _sequences[node] = _sequences.GetValueOrDefault(node) + 1;
        Report report = maker.Make(_sequences[node], Morning + Duration.FromHours(hour), body).Timed.Report;
        _reports.Add(new ContentReport(report, Sha256Hash.Of(System.Text.Encoding.UTF8.GetBytes($"{node} {_sequences[node]}"))));
    }

    private TripAccount Whole(Action write) => Account(write, new AccountScope(new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 20), null));

    private TripAccount Account(Action write, AccountScope scope)
    {
        write();
        var engine = new StateEngine(() => _reports);
        foreach (ContentReport entry in _reports)
        {
            engine.Add(entry.Report, entry.Content);
        }

        var feed = new AccountFeed();
        foreach (ContentReport entry in _reports)
        {
            feed.Add(engine.Retiming.Time(entry.Report));
        }

        return TripAccounts.Of(feed, engine.State, scope, forecastPaths: 0);
    }
}
