using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Quantities;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Tests.TripFile;

public sealed class TripFileReaderTests
{
    private const string Bank = TripText.Least + """
        banks:
          - { name: main bank, team: base team, arrivalCharge: 30 % }

        """;

    [Fact]
    public void Read_LeastFile_GivesTripPlaceAndTeam()
    {
        TripRead read = TripText.Sound(TripText.Least);

        Assert.Equal(3, read.Items.Count);
        Trip trip = Assert.Single(read.Items.OfType<Trip>());
        Assert.Equal(new LocalDate(2027, 2, 10), trip.LastDay);
        Assert.Equal(Offset.FromHours(6), trip.ZoneOffset);
        Assert.Empty(read.Questions);
    }

    [Fact]
    public void Read_UnknownKey_NamesLineAndNearestKey()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least.Replace("latitude:", "lattitude:", StringComparison.Ordinal)), p => p.What.Contains("not known", StringComparison.Ordinal));

        Assert.Equal(8, problem.Line);
        Assert.Equal("places[0].lattitude", problem.Key);
        Assert.Equal("Did you mean \"latitude\"?", problem.Mend);
    }

    [Fact]
    public void Read_UnknownSection_NamesTheNearest()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least + "pannels: []\n"));

        Assert.Equal(16, problem.Line);
        Assert.Contains("panels", problem.Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ManyMistakes_FindsAllInOnePass()
    {
        TripProblem[] problems = TripText.Problems("""
            trip:
              name: short trip
              firstDay: 2027-02-30
              lastDay: 2027-02-10
              zone: six
            places:
              - name: base camp
                latitude: 141.9
                altitude: 3900
                night: -28 °C
                day: -6 °C
                longitude: 77
            teams:
              - name: base team
                home: bace camp
            """);

        Assert.Equal([3, 5, 8, 9, 15], problems.Select(problem => problem.Line));
        Assert.Contains("Did you mean \"3900 m\"?", problems[3].Mend, StringComparison.Ordinal);
        Assert.Contains("Did you mean \"base camp\"?", problems[4].Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_WattHoursWhereAmpereHoursBelong_AsksWhichWasMeant()
    {
        TripProblem problem = Assert.Single(TripText.Problems(Bank + "packs:\n  - { name: p, bank: main bank, chemistry: lfp, series: 4, capacity: 1280 Wh }\n"));

        Assert.Equal(19, problem.Line);
        Assert.Equal("packs[0].capacity", problem.Key);
        Assert.Contains("is an energy, and this key takes a charge", problem.What, StringComparison.Ordinal);
        Assert.Contains("Did you mean 1280 Ah", problem.Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_AmpereHoursThatNobodyCarries_AreAQuestionNotAnError()
    {
        TripRead read = TripText.Sound(Bank + "packs:\n  - { name: p, bank: main bank, chemistry: lfp, series: 4, capacity: 1280 Ah, mass: 11 kg }\n");

        TripProblem question = Assert.Single(read.Questions);
        Assert.True(question.IsQuestion);
        Assert.Equal("1280 Ah at 12.8 V is 16384 Wh in 11 kg.", question.What);
        Assert.Equal("Did you mean 1280 Wh? That is \"100 Ah\".", question.Mend);
    }

    [Theory]
    [InlineData("100 Ah", 100)]
    [InlineData("100Ah", 100)]
    [InlineData("99.5 Ah", 99.5)]
    [InlineData("20000 mAh", 20)]
    public void Read_UnitsOfOneFamily_AreConverted(string capacity, double ampereHours)
    {
        Pack pack = TripText.Only<Pack>(Bank + $"packs:\n  - {{ name: p, bank: main bank, chemistry: lfp, series: 4, capacity: {capacity} }}\n");

        Assert.Equal(ampereHours, pack.Capacity.Value, 9);
    }

    [Theory]
    [InlineData("-28 °C")]
    [InlineData("-28 C")]
    [InlineData("\u221228 °C")]
    public void Read_TemperatureSpellings_AreTheSame(string night)
    {
        Place place = TripText.Only<Place>(TripText.Least.Replace("-28 °C", night, StringComparison.Ordinal));

        Assert.Equal(new Celsius(-28), place.NightTemperature);
    }

    [Fact]
    public void Read_PercentWhereAShareBelongs_SuggestsTheShare()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least.Replace("altitude: 3900 m", "altitude: 3900 m\n    albedo: 65", StringComparison.Ordinal)));

        Assert.StartsWith("Did you mean 0.65?", problem.Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_CalendarSpan_BecomesOneItemADay()
    {
        TripRead read = TripText.Sound(TripText.Least + "calendar:\n  - { team: base team, from: 2027-02-08, to: 2027-02-10, kind: travel }\n");

        CalendarDay[] days = [.. read.Items.OfType<CalendarDay>()];
        Assert.Equal([8, 9, 10], days.Select(day => day.Day.Day));
        Assert.All(days, day => Assert.Equal(DayKind.Travel, day.DayKind));
    }

    [Fact]
    public void Read_WeatherAndPanelHabits_BecomeKit()
    {
        TripRead read = TripText.Sound(TripText.Least + """
            weather:
              - { place: base camp, on: 2027-02-09, sky: 0.4, night: -24 °C, day: -9 °C, trust: 0.8 }
              - { place: base camp, on: 2027-02-10, sky: 1 }
            panelHabits:
              deployTime: 20 min
              gustLimit: 14
              snowLoss: 0.3
            """);

        Assert.Equal(
            [
                new WeatherLine(KitId.Parse("base camp"), new LocalDate(2027, 2, 9), 0.4, new Celsius(-24), new Celsius(-9), 0.8, Said: false),
                new WeatherLine(KitId.Parse("base camp"), new LocalDate(2027, 2, 10), 1, null, null, 0.6, Said: false),
            ],
            read.Items.OfType<WeatherLine>());
        Assert.Equal(
            new PanelHabit(KitId.Parse("panel habits"), Duration.FromMinutes(20), 0.002, new MetresPerSecond(14), new MetresPerSecond(8), 0.3),
            read.Items.OfType<PanelHabit>().Single());
    }

    [Theory]
    [InlineData("{ place: no camp, on: 2027-02-09, sky: 0.4 }", "no camp")]
    [InlineData("{ place: base camp, on: 2027-02-09, sky: 40 }", "out of range")]
    [InlineData("{ place: base camp, on: 2027-02-09, sky: 0.4, night: -2 °C, day: -9 °C }", "warmer than the day")]
    [InlineData("{ place: base camp, on: 2027-02-09 }", "missing")]
    public void Read_WeatherThatCannotBe_SaysWhatAndWhere(string line, string said)
    {
        TripProblem problem = TripText.Problems(TripText.Least + $"weather:\n  - {line}\n")[0];

        Assert.Equal(17, problem.Line);
        Assert.Contains(said, problem.What, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_CalendarSpansThatOverlap_AreRefused()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least + """
            calendar:
              - { team: base team, from: 2027-02-08, to: 2027-02-09, kind: travel }
              - { team: base team, from: 2027-02-09, kind: rest }
            """));

        Assert.Equal(18, problem.Line);
        Assert.Contains("2027-02-09", problem.What, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_NameTwice_NamesTheFirstLine()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least + "  - { name: base team, home: base camp }\n"));

        Assert.Contains("Line 14", problem.Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_KeyTwice_IsRefusedWithItsLine()
    {
        TripProblem problem = Assert.Single(TripText.Problems(TripText.Least + "teams: []\n"));

        Assert.Equal("Write each key once.", problem.Mend);
        Assert.True(problem.Line == 16);
    }

    [Theory]
    [InlineData("")]
    [InlineData("- a\n- b\n")]
    [InlineData("trip: [")]
    [InlineData("\tx: 1")]
    [InlineData("a: &x [*x]")]
    [InlineData("--- {a: 1}\n--- {b: 2}\n")]
    public void Read_NoTripFileAtAll_IsRefusedInWords(string text)
    {
        TripProblem[] problems = TripText.Problems(text);

        Assert.NotEmpty(problems);
        Assert.All(problems, problem => Assert.NotEqual("", problem.Mend));
    }

    [Fact]
    public void Read_ManyBracketsDeep_IsRefusedAndDoesNotOverflowTheStack() =>
        Assert.Contains("deep", Assert.Single(TripText.Problems("trip:\n  name: " + new string('[', 200_000))).What, StringComparison.Ordinal);

    [Fact]
    public void Read_TooLongAText_IsRefusedUnparsed() =>
        Assert.Contains("at most", Assert.Single(TripText.Problems(new string('#', TripFileReader.MaxCharacters + 1))).Mend, StringComparison.Ordinal);

    [Fact]
    public void Read_CopyRuleThatNoDriveCanMeet_IsAQuestion()
    {
        TripRead read = TripText.Sound(TripText.Least + "copyRules:\n  - { name: rule, copies: 3, drives: 3, cases: 3 }\n");

        Assert.Contains("No card would ever be released", Assert.Single(read.Questions).Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_UnequalPacksInOneBank_AskAndWarn()
    {
        TripRead read = TripText.Sound(Bank + """
            packs:
              - { name: p1, bank: main bank, chemistry: lfp, series: 4, capacity: 100 Ah }
              - { name: p2, bank: main bank, chemistry: nmc, series: 4, capacity: 100 Ah }
            """);

        Assert.Contains("weld, burn or explode", Assert.Single(read.Questions).Mend, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_PanelOverTheControllersLimitInTheCold_IsAQuestion()
    {
        TripRead read = TripText.Sound(TripText.Least + """
            banks:
              - { name: main bank, team: base team, arrivalCharge: 30 %, maxPanelVoltage: 25 V }
            packs:
              - { name: p1, bank: main bank, chemistry: lfp, series: 4, capacity: 100 Ah }
            panels:
              - { name: panel, bank: main bank, rated: 100 W, tilt: 60 deg, heading: 180 deg, openCircuit: 22 V }
            """);

        // 22 V x (1 + 53 K x 0.15/55 K) = 25.18 V: the rise of about 15 % over 55 K is common practice, no published source.
        Assert.Contains("25.2 V open at -28 °C", Assert.Single(read.Questions).What, StringComparison.Ordinal);
    }

    [Fact]
    public void Between_ChangedFile_DeclaresChangesAndWithdrawsTheRest()
    {
        TripRead before = TripText.Sound(TripText.Least + "people:\n  - { name: lead, team: base team }\n");
        TripRead after = TripText.Sound(TripText.Least.Replace("3900 m", "3950 m", StringComparison.Ordinal));

        var reports = TripDeclarations.Between(before.Items, after.Items);

        Assert.Equal(2, reports.Count);
        Assert.True(reports[0] is { Withdrawn: true, Item: Person });
        Assert.True(reports[1] is { Withdrawn: false, Item: Place { Altitude.Value: 3950 } });
        Assert.Empty(TripDeclarations.Between(after.Items, after.Items));
    }
}
