using System.Runtime.Intrinsics;
using CsCheck;
using KitMesh.Outlook.Energy;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>The lanes' own functions against the runtime's.</summary>
public sealed class LaneMathTests
{
    [Fact]
    public void Exp_WholeRange_AgreesWithTheRuntime() =>
        Gen.Double[-50, 50].Sample(x => Close(Math.Exp(x), LaneMath.Exp(Vector512.Create(x)).GetElement(5)));

    [Fact]
    public void Log_UnitInterval_AgreesWithTheRuntime() =>
        Gen.Double[1e-16, 1].Sample(x => Close(Math.Log(x), LaneMath.Log(Vector512.Create(x)).GetElement(2)));

    [Fact]
    public void SinCosSmall_QuarterTurn_AgreesWithTheRuntime() =>
        Gen.Double[-Math.PI / 4, Math.PI / 4].Sample(x =>
        {
            (Vector512<double> sin, Vector512<double> cos) = LaneMath.SinCosSmall(Vector512.Create(x));
            Close(Math.Sin(x), sin.GetElement(0));
            Close(Math.Cos(x), cos.GetElement(7));
        });

    [Fact]
    public void LoopMath_SameArguments_GivesTheSameBits() =>
        Gen.Double[1e-12, 30].Sample(x =>
        {
            Assert.Equal(LoopMath.Exp(x), LaneMath.Exp(Vector512.Create(x)).GetElement(1));
            Assert.Equal(LoopMath.Log(x), LaneMath.Log(Vector512.Create(x)).GetElement(1));
        });

    private static void Close(double expected, double actual) =>
        Assert.True(Math.Abs(expected - actual) <= 2e-12 * Math.Max(1e-3, Math.Abs(expected)), $"{expected:R} is not {actual:R}");
}
