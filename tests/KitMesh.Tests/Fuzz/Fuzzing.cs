using System.Globalization;

namespace KitMesh.Tests.Fuzz;

/// <summary>Runs seeds from 0; a failure says its seed and its bytes.</summary>
internal static class Fuzzing
{
    private static readonly int Rounds = int.TryParse(Environment.GetEnvironmentVariable("KITMESH_FUZZ_ROUNDS"), CultureInfo.InvariantCulture, out int asked) ? asked : 300;

    /// <summary>Damages one of a corpus in each round and hands it to a decoder.</summary>
    public static void Run(int times, byte[][] corpus, Action<byte[]> decode)
    {
        for (int seed = 0; seed < Rounds * times; seed++)
        {
            var random = new Random(seed);
            byte[] bytes = Mutator.Damage(corpus[random.Next(corpus.Length)], corpus[random.Next(corpus.Length)], random);
            try
            {
                decode(bytes);
            }
            catch (Exception unexpected)
            {
                throw new InvalidOperationException($"Seed {seed}: {unexpected.Message} Bytes: {Convert.ToHexString(bytes)}", unexpected);
            }
        }
    }

    /// <summary>Rounds that damage by themselves.</summary>
    public static void Run(int times, Func<Random, byte[]> round)
    {
        for (int seed = 0; seed < Rounds * times; seed++)
        {
            try
            {
                round(new Random(seed));
            }
            catch (Exception unexpected)
            {
                throw new InvalidOperationException($"Seed {seed}: {unexpected.Message}", unexpected);
            }
        }
    }
}
