using CsCheck;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Outlook.Footage;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Outlook.Footage;

/// <summary>The runway: rates learnt, drives that fill, what gives way.</summary>
public sealed class FootageOutlookTests
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit();

    private FootageOutlook Outlook => FootageOutlooks.Answer(new(FootageLedger.Of(_history.Reports).Now(_history.Clock).Holdings()));

    [Fact]
    public void Rate_BeforeAnythingWasShot_IsTheDeclaredOne()
    {
        SourceRate rate = Outlook.Sources.Single();

        Assert.Equal(200, rate.GigabytesPerDay, 9);
        Assert.Equal(0, rate.DaysSeen);
        Assert.InRange(rate.Spread, 80, 100);
    }

    [Fact]
    public void Rate_AfterManyDays_IsWhatWasShot()
    {
        for (int day = 0; day < 20; day++)
        {
            _history.Find("card 1", $"v{day}", day, 50_000_000_000);
            _history.Clock += Duration.FromDays(1);
        }

        SourceRate rate = Outlook.Sources.Single();
        Assert.Equal(20, rate.DaysSeen);
        Assert.InRange(rate.GigabytesPerDay, 50, 75);
        Assert.Equal(1000, rate.GigabytesSoFar, 9);
        Assert.Equal(200, rate.Declared);
    }

    [Fact]
    public void Room_OfThreeBigDrives_LastsAShortTrip()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 20_000, gigabytes: 20_000);
        }

        Assert.InRange(Outlook.RoomLasts.Value, 0.99, 1);
        Assert.Empty(Outlook.GiveWays);
        Assert.All(Outlook.Drives, drive => Assert.Null(drive.Likely));
    }

    [Fact]
    public void Room_ThatRunsOut_SaysWhenAndWhatGivesWay()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 1000);
        }

        FootageOutlook outlook = Outlook;

        // 1,000 GB at 200 GB a day for each of three drives: full on the fifth day, 5 February.
        Assert.Equal(3, outlook.Copies);
        Assert.InRange(outlook.RoomLasts.Value, 0, 0.01);
        Assert.All(outlook.Drives, drive => Assert.InRange(drive.Likely!.Value, new LocalDate(2027, 2, 5), new LocalDate(2027, 2, 6)));
        Assert.All(outlook.Drives, drive => Assert.True(drive.Early <= drive.Likely && drive.Likely <= drive.Late));
        Assert.Equal(3, outlook.Shortfalls[0].Copies);
        Assert.Contains(outlook.GiveWays, way => way.What.StartsWith("camera 1 at", StringComparison.Ordinal));
        Assert.Contains(outlook.GiveWays, way => way.What.StartsWith("2 copies instead of 3", StringComparison.Ordinal));
    }

    [Fact]
    public void SameQuestion_HasTheSameAnswer() => Assert.Equal(Outlook, Outlook);

    [Fact]
    public void Volume_OfDrivesAndCases_IsTheLargestThatFits()
    {
        // Checked by hand: 3 copies on 3 drives need each drive to take all of it.
        Assert.Equal(1, Room(("A", "1", 1), ("B", "2", 2), ("C", "3", 5)).Volume(3, 2), 9);

        // 2 copies: 1 + 2 of the 5 pair up with each other and the big one; the small two limit it to 3.
        Assert.Equal(3, Room(("A", "1", 1), ("B", "2", 2), ("C", "3", 5)).Volume(2, 2), 9);

        // All in one case, two cases asked: nothing fits.
        Assert.Equal(0, Room(("A", "1", 4), ("B", "1", 4)).Volume(2, 2), 9);

        // A loose drive can hold the second copy where one case is enough.
        Assert.Equal(4, Room(("A", "1", 4), ("B", null, 4)).Volume(2, 1), 9);
    }

    [Fact]
    public void Filling_OfThreeEqualDrives_SharesTheCopiesEvenly()
    {
        var filling = Room(("A", "1", 90), ("B", "2", 90), ("C", "3", 90)).Filling([new CopyDemand(1, 2, 2)]);

        Assert.All(filling.Values, drive => Assert.Equal(2 / 3.0, drive.Share, 0.01));
        Assert.All(filling.Values, drive => Assert.InRange(drive.FullAt, 133, 135));
    }

    [Fact]
    public void Filling_OfABigDrive_GoesOnWhenTheSmallOnesAreFull()
    {
        // Two copies: the big drive can take one of everything, the small ones the other; it never fills.
        var filling = Room(("A", "1", 30), ("B", "2", 30), ("C", "3", 500)).Filling([new CopyDemand(1, 2, 2)]);

        Assert.Equal(double.PositiveInfinity, filling[Id("C")].FullAt);
        Assert.Equal(1, filling[Id("C")].Share, 0.01);
        Assert.Equal(0.5, filling[Id("A")].Share, 0.02);
    }

    [Fact]
    public void Volume_NeverFallsShortOfWhatPacksGreedily() =>
        Gen.Select(Gen.Int[1, 3], Gen.Int[1, 9]).Array[2, 6].Sample(drives =>
        {
            DriveRoom room = Room([.. drives.Select((drive, i) => ($"{i}", (string?)$"{drive.Item1}", (double)drive.Item2))]);
            double volume = room.Volume(2, 2);
            double packed = PackedByUnits([.. drives.Select(drive => (drive.Item1, drive.Item2 * 20))]) / 20.0;

            Assert.True(volume >= packed - 1e-9, $"{volume} < {packed}");
            Assert.True(volume <= packed + 0.2, $"{volume} > {packed}");
        }, iter: 500);

    [Fact]
    public void Volume_OfSourcesWithRulesOfTheirOwn_IsWhatAFlowCarries() =>
        Gen.Select(Gen.Select(Gen.Int[0, 3], Gen.Int[0, 9]).Array[2, 6], Gen.Int[1, 9], Gen.Int[1, 3], Gen.Int[1, 3], Gen.Int[0, 3], Gen.Int[0, 3])
            .Sample((drives, share, k1, k2, c1, c2) =>
            {
                CopyDemand[] demands = [new(share / 10.0, k1, Math.Min(c1, k1)), new(1 - (share / 10.0), k2, Math.Min(c2, k2))];
                DriveRoom room = Room([.. drives.Select((drive, i) => ($"{i}", drive.Item1 == 0 ? null : $"{drive.Item1}", (double)drive.Item2))]);
                double volume = room.Volume(demands);

                Assert.True(volume < 1e-6 || Carries(drives, demands, volume * 0.999), $"{volume} does not pass");
                Assert.False(Carries(drives, demands, (volume * 1.001) + 1e-3), $"more than {volume} passes");
            }, iter: 400);

    [Fact]
    public void Runway_SaysHowLongTheRoomLasts()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 1000);
        }

        Runway runway = FootageOutlooks.RunwayOf(FootageLedger.Of(_history.Reports).Now(_history.Clock).Holdings());

        Assert.Equal(1000, runway.GigabytesLeft, 6);
        Assert.InRange(runway.LastsUntil!.Value, new LocalDate(2027, 2, 2), new LocalDate(2027, 2, 5));
        Assert.Equal(Outlook.RoomLasts, runway.RoomLasts);
    }

    [Fact]
    public void Runway_WithoutAnyRoom_HasNoDayLeft()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 0);
        }

        Runway runway = FootageOutlooks.RunwayOf(FootageLedger.Of(_history.Reports).Now(_history.Clock).Holdings());

        Assert.Equal((0, null), (runway.DaysLeft, runway.LastsUntil));
    }

    [Fact]
    public void CardsFirst_WhenRoomIsShort_NamesTheBarestCardFirst()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 500);
        }

        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1, 50_000_000_000).Verified(1, "drive A", 50_000_000_000);
        _history.See("card 2", "v2", 1).Find("card 2", "v2", 2, 20_000_000_000);

        Assert.Contains(Outlook.GiveWays, way => way.What.StartsWith("while room is short, offload in this order: card 2 (no copy yet, 60 GB to write), card 1 (one copy, 100 GB", StringComparison.Ordinal));
    }

    [Fact]
    public void Clearing_MakesRoomForTomorrow_InTheLedgersOrder()
    {
        _history.Declare(Drive("station disk", null, gigabytes: 800) with { Intermediate = true }).Place("station disk", "ridge");
        for (int day = 1; day <= 3; day++)
        {
            _history.See("card 1", $"v{day}", 1).Find("card 1", $"v{day}", day, 200_000_000_000);
            foreach (string drive in (string[])["station disk", "drive A", "drive B", "drive C"])
            {
                _history.Verified(day, drive, 200_000_000_000);
            }

            _history.Format("card 1", $"v{day}");
            _history.Clock += Duration.FromDays(1);
        }

        _history.State("station disk", "sd", freeGigabytes: 200, gigabytes: 800);

        // 200 GB a day with a spread of 40 %: nine days of ten stay under about 310 GB, and 200 are free.
        ClearingPlan plan = Outlook.Clearing.Single();
        Assert.InRange(plan.RoomWanted.Gigabytes, 250, 350);
        Assert.Equal([new LocalDate(2027, 2, 1)], plan.Clear.Select(step => step.Day));
        Assert.True(plan.Enough);
        Assert.Contains("clear 2027-02-01 of ridge", plan.Words, StringComparison.Ordinal);
    }

    /// <summary>Whether so much passes from sources through cases to drives, by augmenting paths (Ford and Fulkerson, 1956).</summary>
    private static bool Carries((int Case, int Free)[] drives, CopyDemand[] demands, double volume)
    {
        // Nodes: 0 source, 1.. demands, then (demand, case), then drives, last the sink.
        int perDemand = 1 + 2;
        int cases = 4;
        int firstDrive = perDemand + (demands.Length * cases);
        int sink = firstDrive + drives.Length;
        var left = new double[sink + 1, sink + 1];
        double asked = 0;
        for (int i = 0; i < demands.Length; i++)
        {
            double ofSource = demands[i].Share * volume;
            left[0, 1 + i] = demands[i].Copies * ofSource;
            asked += demands[i].Copies * ofSource;
            for (int inside = 0; inside < cases; inside++)
            {
                int spread = inside == 0 ? demands[i].Copies - demands[i].Cases : demands[i].Copies - Math.Max(demands[i].Cases, 1) + 1;
                left[1 + i, perDemand + (i * cases) + inside] = spread * ofSource;
            }

            for (int drive = 0; drive < drives.Length; drive++)
            {
                left[perDemand + (i * cases) + drives[drive].Case, firstDrive + drive] = ofSource;
                left[firstDrive + drive, sink] = drives[drive].Free;
            }
        }

        double passed = 0;
        while (Augment(left, sink) is > 1e-12 and var more)
        {
            passed += more;
        }

        return passed >= asked * (1 - 1e-6);
    }

    private static double Augment(double[,] left, int sink)
    {
        var from = new int[sink + 1];
        Array.Fill(from, -1);
        from[0] = 0;
        Queue<int> reached = new([0]);
        while (from[sink] < 0 && reached.TryDequeue(out int node))
        {
            for (int next = 0; next <= sink; next++)
            {
                if (from[next] < 0 && left[node, next] > 1e-12)
                {
                    from[next] = node;
                    reached.Enqueue(next);
                }
            }
        }

        if (from[sink] < 0)
        {
            return 0;
        }

        double least = double.PositiveInfinity;
        for (int node = sink; node != 0; node = from[node])
        {
            least = Math.Min(least, left[from[node], node]);
        }

        for (int node = sink; node != 0; node = from[node])
        {
            left[from[node], node] -= least;
            left[node, from[node]] += least;
        }

        return least;
    }

    [Fact]
    public void Gamma_OfManyDays_TendsToTheNormal()
    {
        var volume = new VolumeToCome([new LearntRate(new SourceRate(Id("camera 1"), null, 100, 40, 9, 0, null), 1600, 0, 100)]);

        // 25 days: mean 2,500, standard deviation 200; the normal's 90 % quantile is 2,500 + 1.2816 · 200.
        Assert.Equal(2756, volume.Quantile(0.9, 25), 10.0);
        Assert.Equal(0.5, volume.ChanceOfAtLeast(2500, 25), 0.02);
        Assert.Equal(0.1, volume.ChanceOfAtLeast(volume.Quantile(0.9, 25), 25), 9);
    }

    /// <summary>Two copies in two cases, unit by unit onto the two roomiest cases: optimal for pairs.</summary>
    private static int PackedByUnits((int Case, int Units)[] drives)
    {
        Dictionary<int, int> left = drives.GroupBy(drive => drive.Case).ToDictionary(inside => inside.Key, inside => inside.Sum(drive => drive.Units));
        int packed = 0;
        while (true)
        {
            int[] roomiest = [.. left.OrderByDescending(entry => entry.Value).Take(2).Where(entry => entry.Value > 0).Select(entry => entry.Key)];
            if (roomiest.Length < 2)
            {
                return packed;
            }

            left[roomiest[0]]--;
            left[roomiest[1]]--;
            packed++;
        }
    }

    private static DriveRoom Room(params (string Drive, string? Case, double Free)[] drives) => new(drives.Select(drive => new HeldDrive(
        Id(drive.Drive),
        drive.Case is null ? null : Id(drive.Case),
        [],
        null,
        null,
        null,
        ByteCount.FromGigabytes(drive.Free),
        null,
        DriveHealth.Unknown,
        CanTakeCopies: true)));
}
