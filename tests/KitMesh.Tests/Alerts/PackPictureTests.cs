using KitMesh.Alerts.Inputs;
using KitMesh.Alerts.Rules.Packs;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Alerts;
using NodaTime;

namespace KitMesh.Tests.Alerts;

public sealed class PackPictureTests
{
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 11, 6, 0);

    [Fact]
    public void With_TwoDevices_PutsCurrentAndTemperatureTogether()
    {
        PackPicture picture = PackPicture.From(PackScene.Reading(probes: -4), Start).With(PackScene.Reading(volts: 13.1, amperes: 6), Start + Duration.FromSeconds(20));

        PackCondition seen = picture.At(PackScene.Pack(), Start + Duration.FromSeconds(20));

        Assert.Equal((6d, -4d), (seen.Reading.Amperes!.Value.Value, seen.Reading.ColdestProbe!.Value.Value));
        Assert.Null(seen.WithoutProbeSince);
    }

    [Fact]
    public void At_ThermometerDied_ItsLastValueIsNotUsedForEver()
    {
        PackPicture picture = PackPicture.From(PackScene.Reading(probes: 12), Start);
        Instant later = Start + Duration.FromMinutes(45);
        picture = picture.With(PackScene.Reading(amperes: 6), later);

        PackCondition seen = picture.At(PackScene.Pack(), later);

        Assert.Null(seen.Reading.ColdestProbe);
        Assert.Equal(Start, seen.WithoutProbeSince);
    }

    [Fact]
    public void ChargingUnwatched_NoThermometerForHalfAnHour_FiresAndClearsWhenOneAnswers()
    {
        var desk = new AlertDesk(new ChargingUnwatched()) { Now = Start };
        PackPicture picture = PackPicture.From(PackScene.Reading(amperes: 6), Start);
        AlertPhase? Show(PackPicture p) => desk.Show("ridge bank", i => i with { Packs = [p.At(PackScene.Pack(), desk.Now)] })?.Phase;

        Assert.Null(Show(picture));
        desk.Now = Start + Duration.FromMinutes(31);
        picture = picture.With(PackScene.Reading(amperes: 6), desk.Now);
        Assert.Equal(AlertPhase.Raised, Show(picture));
        picture = picture.With(PackScene.Reading(probes: 12), desk.Now);
        Assert.Equal(AlertPhase.Cleared, Show(picture));
    }

    [Fact]
    public void ChargingUnwatched_ReadingsThatArriveLate_AreNoSilentThermometer()
    {
        // A hub looks 29 min after the controller's newest reading; the thermometer's is 12 min older, as its interval is.
        PackPicture picture = PackPicture.From(PackScene.Reading(probes: 12), Start).With(PackScene.Reading(amperes: 6), Start + Duration.FromMinutes(12));
        var desk = new AlertDesk(new ChargingUnwatched()) { Now = Start + Duration.FromMinutes(41) };

        PackCondition seen = picture.At(PackScene.Pack(), desk.Now);

        Assert.Equal(12, seen.Reading.ColdestProbe!.Value.Value);
        Assert.Null(desk.Show("ridge bank", i => i with { Packs = [seen] }));
    }

    [Fact]
    public void At_HoursLater_NothingOfThePictureIsUsed()
    {
        PackPicture picture = PackPicture.From(PackScene.Reading(amperes: 6, probes: 12), Start);

        PackCondition seen = picture.At(PackScene.Pack(), Start + Duration.FromMinutes(61));

        Assert.Null(seen.Reading.Amperes);
        Assert.Null(seen.Reading.ColdestProbe);
    }

    [Fact]
    public void ChargingUnwatched_StuckThermometer_FiresAfterSixHoursOfTheSame()
    {
        var desk = new AlertDesk(new ChargingUnwatched()) { Now = Start };
        PackPicture picture = PackPicture.From(PackScene.Reading(amperes: 6, probes: [12, 11.5]), Start);
        var phases = new List<AlertPhase?>();
        for (int minutes = 20; minutes <= 400; minutes += 20)
        {
            desk.Now = Start + Duration.FromMinutes(minutes);
            picture = picture.With(PackScene.Reading(amperes: 6, probes: [12, 11.5]), desk.Now);
            phases.Add(desk.Show("ridge bank", i => i with { Packs = [picture.At(PackScene.Pack(), desk.Now)] })?.Phase);
        }

        Assert.All(phases.Take(18), Assert.Null);
        Assert.Equal(AlertPhase.Raised, phases[18]);
        picture = picture.With(PackScene.Reading(amperes: 6, probes: [12, 11.6]), desk.Now);
        Assert.Equal(AlertPhase.Cleared, desk.Show("ridge bank", i => i with { Packs = [picture.At(PackScene.Pack(), desk.Now)] })!.Phase);
    }

    [Fact]
    public void ChargingUnwatched_StuckButNotCharging_IsSilent()
    {
        PackPicture picture = PackPicture.From(PackScene.Reading(amperes: -2, probes: 12), Start);
        for (int minutes = 20; minutes <= 600; minutes += 20)
        {
            picture = picture.With(PackScene.Reading(amperes: -2, probes: 12), Start + Duration.FromMinutes(minutes));
        }

        var desk = new AlertDesk(new ChargingUnwatched()) { Now = Start + Duration.FromMinutes(600) };
        Assert.Null(desk.Show("ridge bank", i => i with { Packs = [picture.At(PackScene.Pack(), desk.Now)] }));
    }

    [Fact]
    public void BankAsPack_JoinedPacks_AddTheirCapacityAndTakeTheStrictestLimits()
    {
        var bank = KitMesh.Domain.Reports.KitId.Parse("main bank");
        var a = PackScene.Pack(minCharge: 3) with { Id = KitMesh.Domain.Reports.KitId.Parse("a"), Bank = bank };
        var b = PackScene.Pack(maxCell: 3.5) with { Id = KitMesh.Domain.Reports.KitId.Parse("b"), Bank = bank };

        var whole = BankAsPack.From(bank, [a, b])!;

        Assert.Equal((200d, 3d, 3.5), (whole.Capacity.Value, whole.MinChargeTemperature!.Value.Value, whole.MaxCellVolts!.Value.Value));
        Assert.Null(BankAsPack.From(bank, [a, b with { Series = 3 }]));
    }
}
