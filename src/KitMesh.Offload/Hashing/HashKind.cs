namespace KitMesh.Offload.Hashing;

/// <summary>The hashes that the one read of a card can feed. XXH3-128 is always taken; the others on wish.</summary>
public enum HashKind
{
    /// <summary>XXH3, 128 bits, seed 0: what makes two files one clip.</summary>
    Xxh128 = 0,

    /// <summary>XXH64, seed 0: what older manifests carry.</summary>
    Xxh64 = 1,

    /// <summary>SHA-256 (FIPS 180-4).</summary>
    Sha256 = 2,

    /// <summary>BLAKE3, 256 bits.</summary>
    Blake3 = 3,

    /// <summary>MD5 (RFC 1321); broken against an attacker, still asked for by archives.</summary>
    Md5 = 4,

    /// <summary>SHA-1 (FIPS 180-4); broken against an attacker.</summary>
    Sha1 = 5,

    /// <summary>C4 identifier (SMPTE ST 2114:2017): SHA-512 in base 58.</summary>
    C4 = 6,

    /// <summary>SHA-512 (FIPS 180-4), the default of BagIt.</summary>
    Sha512 = 7,
}
