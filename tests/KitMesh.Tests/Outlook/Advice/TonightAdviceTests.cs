using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Advice;
using NodaTime;

namespace KitMesh.Tests.Outlook.Advice;

/// <summary>Tonight's charging as one line of advice and as the list by the outlets.</summary>
public sealed class TonightAdviceTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 11, 14, 0);
    private static readonly Offset Zone = Offset.FromHours(6);

    [Fact]
    public void Advice_ManyColdBatteries_NamesThreeAndCountsTheRest()
    {
        KitMesh.Domain.Results.Advice advice = Advise([.. Enumerable.Range(1, 5).Select(Warm), Charge("device 1", 2), Charge("device 2", 3)]);

        Assert.Equal("warm the batteries of device 1, device 2, device 3 and 2 more to charge them tonight", advice.What);
        Assert.Equal("device 1 goes first, at 11 Feb 22:00; 2 devices charged by 12 Feb 07:00 (+06:00): see tonight's charging", advice.Reason);
    }

    [Fact]
    public void Advice_NothingToWarm_SaysWhatToPlugInAndWhen()
    {
        KitMesh.Domain.Results.Advice advice = Advise([Charge("camera", 2)]);

        Assert.Equal("plug camera into usb 1", advice.What);
        Assert.Equal(Now + Duration.FromHours(2), advice.Deadline);
        Assert.StartsWith("1 device charged by", advice.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Words_WarmedTogether_ShareALine()
    {
        IReadOnlyList<string> lines = ChargingWords.Of([.. Enumerable.Range(1, 5).Select(Warm), Charge("device 1", 2)], Zone);

        Assert.Equal(2, lines.Count);
        Assert.StartsWith("now to 22:00: warm the batteries of device 1, device 2, device 3, device 4 and device 5 ", lines[0], StringComparison.Ordinal);
        Assert.Equal("charge device 1", lines[1]);
    }

    [Fact]
    public void Words_OneColdBattery_KeepsItsReason() => Assert.Equal(["warm device 1"], ChargingWords.Of([Warm(1)], Zone));

    private static KitMesh.Domain.Results.Advice Advise(ValueList<ChargingStep> steps)
    {
        var plan = new ChargingPlan(Now, Instant.FromUtc(2027, 2, 12, 1, 0), steps, [], [], 0, [], []);
        return Assert.Single(AdviceDesk.Advise(new AdviceQuestion(Now, null, plan, null, null, []) { Zone = Zone }).Items);
    }

    private static ChargingStep Warm(int number) => Step(ChargingStepKind.Warm, $"device {number}", 0, 2, "warm");

    private static ChargingStep Charge(string load, double from) => Step(ChargingStepKind.Charge, load, from, from + 1, "charge");

    private static ChargingStep Step(ChargingStepKind kind, string load, double from, double until, string verb) => new(
        kind,
        kind == ChargingStepKind.Charge ? KitId.Parse("usb 1") : null,
        KitId.Parse(load),
        Now + Duration.FromHours(from),
        Now + Duration.FromHours(until),
        new Watts(0),
        new WattHours(0),
        new WattHours(0),
        null,
        $"{verb} {load}");
}
