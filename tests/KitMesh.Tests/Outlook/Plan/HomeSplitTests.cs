using CsCheck;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Plan;

namespace KitMesh.Tests.Outlook.Plan;

/// <summary>The split of the drives for the way home, against what splitting by hand gives, and what must hold of every split.</summary>
public sealed class HomeSplitTests
{
    [Fact]
    public void Split_FourDrivesTwoCopies_GivesEachBagAWholeCopyAndLeavesDrivesWhereTheyAre()
    {
        // 4 + 2 and 4 + 2 is the only split whose smaller half has 6 TB.
        HomeBag[] bags = [.. HomeSplit.Of(Kit([("drive a", 4, "grey case"), ("drive b", 4, "black case"), ("drive c", 2, "grey case"), ("drive d", 2, "black case")]), copies: 2, neededGigabytes: 5_000)];

        Assert.Equal(2, bags.Length);
        HomeBag lead = bags.Single(bag => bag.Carrier?.Value == "lead");
        Assert.Equal(["drive a", "drive c"], lead.Drives.Select(drive => drive.Value));
        Assert.Equal(6_000, lead.Gigabytes, 1e-9);
        Assert.True(bags.All(bag => bag.HoldsAll));
        Assert.Equal("camera", bags.Single(bag => bag != lead).Carrier?.Value);
    }

    [Fact]
    public void Split_TooLittleRoomForACopy_IsSaid()
    {
        HomeBag[] bags = [.. HomeSplit.Of(Kit([("drive a", 4, null), ("drive b", 1, null)]), copies: 2, neededGigabytes: 3_000)];

        Assert.Equal([true, false], bags.OrderByDescending(bag => bag.Gigabytes).Select(bag => bag.HoldsAll));
        Assert.Equal(2, bags.Select(bag => bag.Carrier).Distinct().Count());
    }

    [Fact]
    public void Split_OneDrive_IsOneBagAndNobodyIsInventedForMoreBagsThanPeople()
    {
        Assert.Single(HomeSplit.Of(Kit([("drive a", 4, null)]), copies: 2, neededGigabytes: 1));
        HomeBag[] three = [.. HomeSplit.Of(Kit([("drive a", 4, null), ("drive b", 4, null), ("drive c", 4, null)]), copies: 3, neededGigabytes: 1)];

        Assert.Equal(3, three.Length);
        Assert.Single(three, bag => bag.Carrier is null);
        Assert.Empty(HomeSplit.Of(Kit([]), copies: 2, neededGigabytes: 1));
    }

    [Fact]
    public void Split_AnyDrives_PutsEachIntoOneBagAndLosingABagLeavesACopyOfEverything() =>
        Gen.Select(Gen.Int[1, 8].Array[2, 9], Gen.Int[2, 3]).Sample((sizes, copies) =>
        {
            HomeBag[] bags = [.. HomeSplit.Of(Kit([.. sizes.Select((size, i) => ($"drive {i}", size, (string?)null))]), copies, neededGigabytes: 1)];
            Assert.Equal(sizes.Length, bags.Sum(bag => bag.Drives.Count));
            Assert.Equal(sizes.Length, bags.SelectMany(bag => bag.Drives).Distinct().Count());
            Assert.Equal(Math.Min(copies, sizes.Length), bags.Select(bag => bag.Copy).Distinct().Count());
            Assert.Equal(bags.Length, bags.Select(bag => bag.Copy).Distinct().Count());

            // No other split gives the smallest bag more room.
            double least = bags.Min(bag => bag.Gigabytes);
            Assert.Equal(BestLeast(sizes, bags.Length) * 1_000, least, 1e-6);
        });

    [Fact]
    public void OutOfUse_LearntFailures_CountBesideTheDeclaredRate()
    {
        Drive drive = Kit([("drive a", 4, null)]).OfType<Drive>().Single() with { AnnualFailureRate = 0.02 };

        // 1 - exp(-days x rate): 26 days of 2 % a year are 0.14 %, with one failed copy in 52 days 39.4 %.
        Assert.Equal(1 - Math.Exp(Math.Log(0.98) * 26 / 365.25), PlanSpares.OutOfUse(drive, [], 26), 1e-12);
        Assert.Equal(1 - (Math.Exp(Math.Log(0.98) * 26 / 365.25) * Math.Exp(-0.5)), PlanSpares.OutOfUse(drive, [new LearntFailure(drive.Id, 1 / 52.0, 52)], 26), 1e-12);
    }

    private static double BestLeast(int[] sizes, int bags)
    {
        double best = 0;
        int all = (int)Math.Pow(bags, sizes.Length);
        for (int code = 0; code < all; code++)
        {
            int[] rooms = new int[bags];
            for (int i = 0, rest = code; i < sizes.Length; i++, rest /= bags)
            {
                rooms[rest % bags] += sizes[i];
            }

            best = Math.Max(best, rooms.Min());
        }

        return best;
    }

    private static ValueList<KitItem> Kit((string Name, int Terabytes, string? Case)[] drives)
    {
        KitId team = KitId.Parse("team");
        return
        [
            new Person(KitId.Parse("lead"), team),
            new Person(KitId.Parse("camera"), team),
            new Case(KitId.Parse("grey case"), KitId.Parse("lead"), 0.01),
            new Case(KitId.Parse("black case"), KitId.Parse("camera"), 0.01),
            .. drives.Select(drive => new Drive(
                KitId.Parse(drive.Name), drive.Case is { } into ? KitId.Parse(into) : null, new ByteCount(drive.Terabytes * 1_000_000_000_000L), DriveMedium.Flash, null, null, 0.015, null)),
        ];
    }
}
